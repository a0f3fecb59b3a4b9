"""What was heard of a vehicle after its reflash: written down, put right, taken back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from types import MappingProxyType
from typing import Any, Literal

from sqlmodel import col

from kb.desk import settings as settings_desk
from kb.desk.bay.concern import closing
from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.bay.concern.impossible_answers import refuse_what_cannot_be
from kb.desk.bay.outcomes.observed import gather_chosen, renew_outcomes
from kb.desk.context import Desk, anyone_in_the_shop
from kb.desk.saving import refuse_stale
from kb.errors import Conflict, NotFound
from kb.nouns.concerns import FAILED, NOTHING_SAID, Ending, FollowUpDraft, FollowUpResult
from kb.nouns.outcomes import FAILURES
from kb.outcomes.window import own_window
from kb.records.store.bay import hearing as hearing_store
from kb.records.store.bay import writing
from kb.records.store.bay.concerns import ConcernRows
from kb.records.store.bay.writing import Told
from kb.records.store.outcomes import outcomes as store
from kb.records.tables import FollowUpRow, Outcome

Done = Sequence[tuple[Outcome, Any, Any]]
HowItCounts = Literal["failed", "after", "other work"]
_COUNTED: Mapping[FollowUpResult, str] = MappingProxyType(
    {
        FollowUpResult.CAME_BACK: "Comeback counted.",
        FollowUpResult.OTHER_CAUSE: "It counts as not cured: another cause was found.",
    }
)
_NOT_COUNTED: Mapping[HowItCounts, str] = MappingProxyType(
    {
        "after": (
            "That was after the window of days or miles, so it does not count against the reflash; "
            "check the day and the odometer if that is wrong."
        ),
        "other work": "Other work was done in the same visit, so it is in no rate.",
    }
)


@dataclass(frozen=True, slots=True)
class FollowUpOnFile:
    """A follow-up of a concern, and the day on which it was heard of as far as anybody knows.

    `at_visit`: the concern with which the vehicle was here then.
    """

    concern_id: int
    draft: FollowUpDraft
    heard_on: date
    version: int = 1
    at_visit: int | None = None


@anyone_in_the_shop
def record_follow_up(
    desk: Desk, concern_id: int, draft: FollowUpDraft, *, at_visit: int | None = None
) -> int:
    """Record what was heard, on the day it was true; gives its id.

    Order does not matter; the dates are renewed. A failure opens a concern again that was closed as cured by
    its reflash. Whatever somebody said settles a promised call. `at_visit`: the concern with which the
    vehicle is here again. Raises BadInput for a day or a reading that cannot be.
    """
    held = concerns_desk.on_file(desk, concern_id)
    done = store.outcomes_of_concern(desk.session, concern_id)
    refuse_what_cannot_be(desk, held, done, draft)
    settled = None if draft.result in NOTHING_SAID else _settle_call(done)
    told = Told(concern_id, _tidied(draft), at_visit, settled)
    [follow_up_id] = writing.add_follow_ups(desk.session, desk.stamp(), [told])
    _take_in(desk, held, draft.result)
    if draft.result is not FollowUpResult.NO_ANSWER:
        desk.bump("outcomes")
    desk.note_down(
        "followed up", "concern", concern_id, result=draft.result.value, seen_on=str(draft.seen_on)
    )
    return follow_up_id


@anyone_in_the_shop
def correct_follow_up(desk: Desk, follow_up_id: int, version: int, draft: FollowUpDraft) -> int:
    """Put right what was written down; gives the concern's id. The trail keeps what it was.

    Raises NotFound, BadInput as for a new one, and Conflict where somebody changed it since `version`, or for
    one that an import brought: its file says it.
    """
    row, held = _own(desk, follow_up_id)
    sentence = "Somebody changed this follow-up meanwhile. Look at what it says now, and save again."
    refuse_stale(row, version, sentence, theirs=row.result, seen_on=str(row.seen_on))
    done = store.outcomes_of_concern(desk.session, row.concern_id)
    refuse_what_cannot_be(desk, held, done, draft, but=follow_up_id)
    was = {"was": row.result, "was_seen_on": str(row.seen_on)}
    row.sqlmodel_update(writing.columns(FollowUpRow, _tidied(draft)))
    row.version += 1
    if draft.result in NOTHING_SAID:
        _promise_again(row, done)
    elif row.settled_call_on is None:
        row.settled_call_on = _settle_call(done)
    _take_in(desk, held, draft.result)
    desk.bump("outcomes")
    desk.note_down("corrected a follow-up", "concern", row.concern_id, **was, result=row.result)
    return row.concern_id


@anyone_in_the_shop
def take_back(desk: Desk, follow_up_id: int) -> int:
    """As if it had never been written down; gives the concern's id. A call that it settled is promised again.

    A concern that it opened again stays open. Raises NotFound, and Conflict for one that an import brought.
    """
    row, _ = _own(desk, follow_up_id)
    concern_id = row.concern_id
    if not _settled_by_another(row, store.follow_ups(desk.session, concern_id)):
        _promise_again(row, store.outcomes_of_concern(desk.session, concern_id))
    said = {"result": row.result, "seen_on": str(row.seen_on), "by": row.by, "remark": row.remark}
    hearing_store.remove(desk.session, row)
    renew_outcomes(desk, [concern_id])
    desk.bump("outcomes")
    desk.note_down("took back a follow-up", "concern", concern_id, **said)
    return concern_id


@anyone_in_the_shop
def read_follow_up(desk: Desk, follow_up_id: int) -> FollowUpOnFile:
    """What was written down, as it can be put right."""
    row, _ = _found(desk, follow_up_id)
    draft = hearing_store.as_written(row)
    dated = draft.result in FAILED and row.day_known
    heard_on = desk.shop.day_of(row.recorded_at) if dated else row.seen_on
    return FollowUpOnFile(row.concern_id, draft, heard_on, row.version, row.at_visit)


@anyone_in_the_shop
def window_ends_on(desk: Desk, concern_id: int) -> date | None:
    """The last day on which a comeback still counts, by days alone; None where nothing was reflashed."""
    done = [one for one, *_ in store.outcomes_of_concern(desk.session, concern_id) if one.installed]
    if not done:
        return None
    rule = settings_desk.current(desk).window_rule()
    gap = concerns_desk.on_file(desk, concern_id).concern.usual_gap_days
    return done[-1].reflashed_on + timedelta(days=own_window(rule, gap).days)


@anyone_in_the_shop
def how_it_counts(desk: Desk, concern_id: int, on: date) -> HowItCounts:
    """How a failure heard of `on` counts against the concern's last reflash by then.

    "failed"; or "after" its window of days or miles; or not at all: "other work" was done in the same visit.
    """
    chosen = (col(Outcome.concern_id) == concern_id, col(Outcome.reflashed_on) <= on)
    found = gather_chosen(desk, desk.today, *chosen).get(concern_id, ())
    last = max((one.reflashed_on for one in found), default=None)
    done = [one for one in found if one.reflashed_on == last]
    if done and all(one.other_work for one in done):
        return "other work"
    return "failed" if not done or any(one.standing in FAILURES for one in done) else "after"


@anyone_in_the_shop
def how_it_counts_in_words(desk: Desk, concern_id: int, failure: FollowUpResult, on: date) -> str:
    """The sentence for whoever has just written a failure (one of FAILED) down, wherever that was."""
    how = how_it_counts(desk, concern_id, on)
    return _COUNTED[failure] if how == "failed" else _NOT_COUNTED[how]


def _tidied(draft: FollowUpDraft) -> FollowUpDraft:
    return replace(draft, how=draft.how.strip(), remark=draft.remark.strip())


def _take_in(desk: Desk, held: ConcernRows, result: FollowUpResult) -> None:
    """Everything that follows from a change of what was heard."""
    concern_id = held.concern.id or 0
    renew_outcomes(desk, [concern_id])
    if result in FAILED and held.concern.ending == Ending.CURED_BY_REFLASH.value:
        closing.reopen(desk, concern_id)


def _settle_call(done: Done) -> date | None:
    """The promised day that is settled now, if there was one."""
    promised = [outcome.ask_on for outcome, *_ in done if outcome.ask_on is not None]
    for outcome, *_ in done:
        outcome.ask_on = None
    return max(promised, default=None)


def _settled_by_another(row: FollowUpRow, heard: Sequence[FollowUpRow]) -> bool:
    """A later answer settles the promised call as well, and takes over its day."""
    later = [
        one
        for one in heard
        if FollowUpResult(one.result) not in NOTHING_SAID and (one.id or 0) > (row.id or 0)
    ]
    if row.settled_call_on is None or not later:
        return False
    first = min(later, key=lambda one: one.id or 0)
    first.settled_call_on = first.settled_call_on or row.settled_call_on
    return True


def _promise_again(row: FollowUpRow, done: Done) -> None:
    for outcome, *_ in done if row.settled_call_on is not None else ():
        outcome.ask_on = outcome.ask_on or row.settled_call_on
    row.settled_call_on = None


def _own(desk: Desk, follow_up_id: int) -> tuple[FollowUpRow, ConcernRows]:
    row, held = _found(desk, follow_up_id)
    if row.import_id is not None:
        raise Conflict(
            "This came with an imported file. Correct the file and bring it in again; "
            "what it said before is replaced."
        )
    return row, held


def _found(desk: Desk, follow_up_id: int) -> tuple[FollowUpRow, ConcernRows]:
    row = hearing_store.follow_up(desk.session, desk.shop.id, follow_up_id)
    if row is None:
        raise NotFound("That follow-up is not on file; perhaps somebody took it back.")
    return row, concerns_desk.on_file(desk, row.concern_id)
