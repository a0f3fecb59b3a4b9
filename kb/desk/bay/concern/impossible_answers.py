"""What cannot be in a follow-up: days, readings and sums that a slip of the pen makes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from kb.desk.context import Desk
from kb.errors import BadInput
from kb.nouns.concerns import FAILED, FollowUpDraft
from kb.nouns.days import day_words
from kb.records.store.bay.concerns import ConcernRows
from kb.records.store.outcomes import outcomes as store
from kb.records.tables import Outcome

_MOST_COST_MINOR = 100_000_000
_MOST_MILES = 2_000_000
_MOST_MILES_A_DAY = 2_000
_DAY_MEANT = "Enter the day the vehicle was seen or heard of."
_FOR_SOMETHING_ELSE = "A vehicle that came back before its reflash came for something else; check the day."


@dataclass(frozen=True, slots=True)
class Reading:
    """An odometer on a day: heard of in a follow-up, or read at the reflash."""

    on: date
    miles: int
    heard: bool = True


def refuse_what_cannot_be(
    desk: Desk,
    held: ConcernRows,
    done: Sequence[tuple[Outcome, Any, Any]],
    draft: FollowUpDraft,
    but: int | None = None,
) -> None:
    """Raise BadInput naming every field that cannot be. `but`: the follow-up that is being put right."""
    earliest = done[0][0].reflashed_on if done else held.concern.opened_on
    wrong = dict(_wrong(desk.today, earliest, draft))
    if not wrong and draft.odometer is not None:
        readings = _readings(desk, held.concern.id or 0, done, but)
        sentence = unfitting(Reading(draft.seen_on, draft.odometer), readings)
        wrong = {"odometer": sentence} if sentence else {}
    if wrong:
        raise BadInput(" ".join(wrong.values()), fields=wrong)


def odometer_that_fits(desk: Desk, concern_id: int, on: date, miles: int) -> int | None:
    """A reading taken for something else, if it can be of that day; nobody is asked to put it right here."""
    done = store.outcomes_of_concern(desk.session, concern_id)
    return None if unfitting(Reading(on, miles), _readings(desk, concern_id, done)) else miles


def _readings(
    desk: Desk, concern_id: int, done: Sequence[tuple[Outcome, Any, Any]], but: int | None = None
) -> list[Reading]:
    others = [one for one in store.follow_ups(desk.session, concern_id) if one.id != but]
    return [
        *(Reading(o.reflashed_on, o.odometer, heard=False) for o, *_ in done if o.odometer is not None),
        *(Reading(f.seen_on, f.odometer) for f in others if f.odometer is not None),
    ]


def unfitting(new: Reading, others: Iterable[Reading]) -> str:
    """Why a reading does not fit those of other days, as a sentence; empty where it does.

    Nobody drives backward, nor more than 2,000 miles a day (common practice, no source): such a slip would
    end a window of miles, or keep it open.
    """
    for one in sorted(others, key=lambda reading: abs((reading.on - new.on).days)):
        first, second = sorted((one, new), key=lambda reading: (reading.on, reading is new))
        days = (second.on - first.on).days
        if days == 0 and one.heard and abs(one.miles - new.miles) <= _MOST_MILES_A_DAY:
            continue
        if not first.miles <= second.miles <= first.miles + _MOST_MILES_A_DAY * (days + 1):
            where = "written down" if one.heard else "at the reflash"
            return (
                f"{new.miles:,} miles does not fit the {one.miles:,} {where} on {day_words(one.on)}. "
                "Check both readings; the one at the reflash can be corrected on the concern."
            )
    return ""


def _wrong(today: date, earliest: date, draft: FollowUpDraft) -> Iterable[tuple[str, str]]:
    if draft.seen_on > today:
        yield "seen_on", f"{day_words(draft.seen_on)} lies in the future. {_DAY_MEANT}"
    elif draft.seen_on < earliest:
        too_early = f"{day_words(draft.seen_on)} is before {day_words(earliest)}, when the work was done."
        yield "seen_on", f"{too_early} {_FOR_SOMETHING_ELSE if draft.result in FAILED else _DAY_MEANT}"
    if not draft.day_known and draft.result not in FAILED:
        yield "day_known", "Only of a comeback or another cause can the day be unknown. Enter the day."
    if draft.odometer is not None and not 0 <= draft.odometer <= _MOST_MILES:
        yield "odometer", f"The odometer reads between 0 and {_MOST_MILES:,} miles."
    if draft.cost_minor is not None and not 0 <= draft.cost_minor <= _MOST_COST_MINOR:
        yield "cost", "The cost is 0 or more."
