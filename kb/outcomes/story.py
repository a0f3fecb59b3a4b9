"""Heard, then told: everything known of one reflash as one value, the only reading of an outcome.

What was done (`Reflashed`) and what was heard of the concern (`Heard`) go through `concern_story`, for all
installed reflashes of a concern in their order: what a failure cost is shared among them, and of the modules
of one try one counts. A `Story` is then read in two ways: `seen_by` the window of a report on a day, and free
of any window as `columns`, the whole numbers that a database keeps and groups by (`tally_of_columns` of
kb.outcomes.tally reads those by a window). What was heard is kept with its days, so that both read the past.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

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
        """What reports group by, free of any window, as the columns of an outcome.

        `event_kind`: a failure, ENDED (also where nobody knew how it was), IN_WINDOW (free of the concern
        when last seen) or NOT_KNOWN; `event_day`: of the failure, the end or the last sighting, from the
        reflash. `heard_day`: the last day of which anything is known.
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
        """Alone where miles or the usual gap of an intermittent bear on its window, the day of a failure is
        not known, or it was updated again: no count stands for it.
        """
        if not self.counted:
            return CountedAs.WITH_ANOTHER
        by_miles = self.reflash.odometer is not None and any(one.odometer is not None for one in heard)
        day_not_known = any(not one.day_known for one in heard)
        alone = ended or by_miles or day_not_known or self.reflash.usual_gap_days is not None
        return CountedAs.ONE_BY_ONE if alone else CountedAs.TOGETHER

    def _known(self, as_of: date) -> tuple[FollowUpDraft, ...]:
        """What was heard by that day. A concern closed with another cause since says the same as a follow-up
        that tells of one, unless a failure was heard of anyway; the day of closing is the day it was found,
        not the day from which the concern was back.
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


def _event(reflash: Reflashed, heard: Sequence[FollowUpDraft]) -> Observation:
    """The first failure, else the end, else the last sighting, whatever the window."""
    return observe(replace(reflash, usual_gap_days=None, odometer=None), heard, UNLIMITED, date.max)


def _after(told: Heard, done: Reflashed) -> bool:
    return (told.said.seen_on, told.recorded_at) >= (done.reflashed_on, done.recorded_at)


def _standing(done: Sequence[Reflashed], since: Sequence[Sequence[FollowUpDraft]]) -> set[int]:
    """An update that needs several modules programmed for a concern was one try: which outcome stands for it.

    Where a newer calibration went into one of the modules, that one does: what comes later tells nothing of
    the update any more.
    """
    tries: dict[tuple[int, int], list[tuple[date, int]]] = defaultdict(list)
    for one, told in zip(done, since, strict=True):
        end = ends_on(one, told) or date.max
        tries[one.sitting, one.update_id].append((end, one.outcome_id))
    return {min(same)[1] for same in tries.values()}


def _borne(done: Sequence[Reflashed], heard: Sequence[Heard]) -> dict[int, list[tuple[date, int]]]:
    """Each cost of a failure once: borne by the last visit before it, and shared evenly by the modules
    programmed in that visit, what cannot be shared going to the first.
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
