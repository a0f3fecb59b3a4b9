"""Heard, then told: everything known of one reflash as one value, the only reading of an outcome.

`concern_story` takes what was done for a concern (`Reflashed`) and what was heard of it (`Heard`), and gives
a `Story` for each installed reflash. What a failure cost is shared among them, and of the modules of one try
one counts.

| a story is read                          | as                                                | by        |
|------------------------------------------|---------------------------------------------------|-----------|
| through the window of a report, on a day | an `Observation`                                  | `seen_by` |
| free of any window                       | whole numbers that a database keeps and groups by | `columns` |

`tally_of_columns` of kb.outcomes.tally reads those numbers through a window. What was heard keeps its days,
so both ways can look at an earlier day.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.concerns import FAILED, FollowUpDraft, FollowUpResult
from kb.nouns.outcomes import FAILURES, CountedAs, Heard, Observation, Reflashed, Standing, WindowRule
from kb.outcomes.observe import ends_on, observe

UNLIMITED = WindowRule(days=10**7, miles=10**9, usual_gaps=0)
Borne = tuple[tuple[date, int], ...]


@dataclass(frozen=True, slots=True)
class Story:
    """One reflash, what was heard since, and its share of what failures cost.

    `borne`: by the day of each failure, in minor units. `counted` is False where another module of the same
    sitting, update and concern stands for it.
    """

    reflash: Reflashed
    heard: tuple[FollowUpDraft, ...] = ()
    counted: bool = True
    borne: Borne = ()

    @property
    def ends_on(self) -> date | None:
        """The day from which the vehicle tells no more of it: updated by air or by a later reflash."""
        return ends_on(self.reflash, self.heard)

    @property
    def failed_on(self) -> date | None:
        """The day of its first failure by all that was ever heard, whatever had ended the count."""
        kept = [one for one in self._known(date.max) if one.result is not FollowUpResult.UPDATED_BY_AIR]
        seen = _event(replace(self.reflash, superseded_on=None), kept)
        return self.reflash.reflashed_on + timedelta(seen.days_after) if seen.standing in FAILURES else None

    def seen_by(self, rule: WindowRule, as_of: date) -> Observation:
        """What is known of it on `as_of`. Raises BadInput for a reflash after that day."""
        heard = self._known(as_of)
        return replace(
            observe(self.reflash, heard, rule, as_of),
            cost_minor=sum(cost for day, cost in self.borne if day <= as_of),
            explained=any(one.result is FollowUpResult.OTHER_CAUSE for one in heard),
        )

    def columns(self) -> dict[str, int]:
        """The story free of any window, as the columns of an outcome that reports group by.

        | column            | meaning                                                 |
        |-------------------|---------------------------------------------------------|
        | `counted_as`      | a CountedAs                                             |
        | `reflashed_day`   | day number                                              |
        | `reflashed_month` | year * 12 + month - 1                                   |
        | `event_kind`      | a failure, ENDED, IN_WINDOW (last seen OK) or NOT_KNOWN |
        | `event_day`       | days to the failure, the end or the last sighting       |
        | `heard_day`       | day number of the last thing known                      |
        """
        day, heard, ends = self.reflash.reflashed_on, self._known(date.max), self.ends_on
        seen = _event(self.reflash, heard)
        ended = ends if ends and seen.standing not in FAILURES else None
        last = max([day, *(one.seen_on for one in heard), self.reflash.superseded_on or day])
        return {
            "counted_as": int(self._counted_as(heard, ended)),
            "reflashed_day": day.toordinal(),
            "reflashed_month": seen.month,
            "event_kind": int(Standing.ENDED if ended else seen.standing),
            "event_day": (ended - day).days if ended else seen.day,
            "heard_day": last.toordinal(),
            "comeback_cost_minor": sum(cost for _, cost in self.borne),
        }

    def _counted_as(self, heard: Sequence[FollowUpDraft], ended: date | None) -> CountedAs:
        """Read alone where no count of equal ones stands for it.

        That is where miles or an intermittent's usual gap bear on its window, where the day of a failure is
        not known, and where it was updated again.
        """
        if not self.counted:
            return CountedAs.WITH_ANOTHER
        by_miles = self.reflash.odometer is not None and any(one.odometer is not None for one in heard)
        day_not_known = any(not one.day_known for one in heard)
        alone = ended or by_miles or day_not_known or self.reflash.usual_gap_days is not None
        return CountedAs.ONE_BY_ONE if alone else CountedAs.TOGETHER

    def _known(self, as_of: date) -> tuple[FollowUpDraft, ...]:
        """What was heard by that day.

        Closing the concern with another cause says the same as a follow-up that tells of one, unless a
        failure was heard of anyway. The day of closing is when it was found, not since when the concern was
        back.
        """
        known = tuple(one for one in self.heard if one.seen_on <= as_of)
        closed_on = self.reflash.other_cause_on
        if closed_on is None or not self.reflash.reflashed_on <= closed_on <= as_of:
            return known
        if any(one.result in FAILED for one in known):
            return known
        return (*known, FollowUpDraft(FollowUpResult.OTHER_CAUSE, closed_on, day_known=False))


def concern_story(done: Sequence[Reflashed], heard: Sequence[Heard]) -> tuple[Story, ...]:
    """The stories of the installed reflashes of one concern, in their order (by day, then as recorded).

    Of what was heard on the day of a reflash only what was not recorded before it counts.
    """
    since = [tuple(told.said for told in heard if _after(told, one)) for one in done]
    stands = _standing(done, since)
    borne = _borne([one for one in done if one.outcome_id in stands], heard)
    return tuple(
        Story(one, told, one.outcome_id in stands, tuple(borne[one.outcome_id]))
        for one, told in zip(done, since, strict=True)
    )


def stories_on(file: ConcernFile) -> dict[int, tuple[Story, ...]]:
    """The stories of every installed reflash of a concern's vehicle, by the concern it was for."""
    return {one: concern_story(done, file.heard.get(one, ())) for one, done in file.reflashed.items()}


def _event(reflash: Reflashed, heard: Sequence[FollowUpDraft]) -> Observation:
    """The first failure, else the end, else the last sighting, whatever the window."""
    return observe(replace(reflash, usual_gap_days=None, odometer=None), heard, UNLIMITED, date.max)


def _after(told: Heard, done: Reflashed) -> bool:
    return (told.said.seen_on, told.recorded_at) >= (done.reflashed_on, done.recorded_at)


def _standing(done: Sequence[Reflashed], since: Sequence[Sequence[FollowUpDraft]]) -> set[int]:
    """Which outcome stands for each try: an update that needs several modules is one.

    Where a newer calibration went into one of the modules, that module's does: what comes later tells nothing
    of the update any more.
    """
    tries: dict[tuple[int, int], list[tuple[date, int]]] = defaultdict(list)
    for one, told in zip(done, since, strict=True):
        end = ends_on(one, told) or date.max
        tries[one.sitting, one.update_id].append((end, one.outcome_id))
    return {min(same)[1] for same in tries.values()}


def _borne(done: Sequence[Reflashed], heard: Sequence[Heard]) -> dict[int, list[tuple[date, int]]]:
    """Each cost of a failure once, by outcome.

    The last visit before the failure bears it. The modules programmed in that visit share it evenly; what
    cannot be shared goes to the first.
    """
    borne: dict[int, list[tuple[date, int]]] = defaultdict(list)
    for told in heard:
        before = [one for one in done if _after(told, one)]
        if told.said.result not in FAILED or not told.said.cost_minor or not before:
            continue
        last = max((one.reflashed_on, one.recorded_at) for one in before)
        shared = [one.outcome_id for one in before if (one.reflashed_on, one.recorded_at) == last]
        part, rest = divmod(told.said.cost_minor, len(shared))
        for place, outcome_id in enumerate(shared):
            borne[outcome_id].append((told.said.seen_on, part + (rest if place == 0 else 0)))
    return borne
