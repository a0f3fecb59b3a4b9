"""From the facts of one reflash to what they say: a failure on a day, or free of the concern to a day."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from kb.errors import BadInput
from kb.nouns.concerns import Duplicated, FollowUpDraft, FollowUpResult, RoadTest
from kb.nouns.outcomes import Observation, ReflashOutcome, Standing, WindowRule

FAILURES = {FollowUpResult.CAME_BACK: Standing.COMEBACK, FollowUpResult.OTHER_CAUSE: Standing.OTHER_CAUSE}
SIGHTINGS = {FollowUpResult.FINE}
FOLLOWED = Standing.FOLLOWED_TO_WINDOW
UPDATED_AGAIN = "updated again"


@dataclass(frozen=True, slots=True)
class OwnWindow:
    """The window of one vehicle: its days and miles, and the report's days it is shrunk to."""

    days: int
    miles: float
    report_days: int

    def failed_day(self, day: int) -> int:
        return -(-day * self.report_days // self.days)

    def free_day(self, day: int) -> int:
        return min(day, self.days) * self.report_days // self.days


def own_window(rule: WindowRule, usual_gap_days: int | None) -> OwnWindow:
    """The rule's window, or three usual gaps of an intermittent if that is longer (miles in proportion)."""
    if rule.days < 1 or rule.miles < 1:
        raise BadInput("A window needs at least one day and one mile.", fields={"window_days": "below 1"})
    days = max(rule.days, rule.usual_gaps * max(usual_gap_days or 0, 0))
    return OwnWindow(days, rule.miles * days / rule.days, rule.days)


def observe(outcome: ReflashOutcome, rule: WindowRule, as_of: date) -> Observation:
    """What is known on `as_of`; later facts and follow-ups dated before the reflash are passed over.

    A failure counts up to and including the window's last day. One since a day that nobody knows is put on
    the last day the vehicle was known to be free of the concern (design.md section 6, for another cause): a
    vehicle asked after its window must not become a cure by coming back. A road test that could not say, or
    of a concern nobody had duplicated, is no sighting: such a vehicle enters a rate only once it is seen on a
    later day, and then on the same terms as any other, for counting its failures but never its cures would
    only ever pull the rate down. A new complaint says nothing of the first one: neither comeback nor cure.
    An update by air or a superseding reflash ends the count that day; one after the window makes no cure of a
    vehicle that nobody had seen by then. A sale ends the waiting, and later news of the vehicle still counts.
    Raises BadInput for a reflash after `as_of`.
    """
    age = (as_of - outcome.reflashed_on).days
    if age < 0:
        raise BadInput("This reflash is dated after the day of the report.", fields={"as_of": "too early"})
    window = own_window(rule, outcome.usual_gap_days)
    if outcome.road_test == RoadTest.STILL_THERE:
        told = _observation(outcome, Standing.FAILED_AT_ROAD_TEST, 0, "still there at road test")
        return replace(told, silent_day=window.free_day(age))
    return _after_a_pass(outcome, window, age)


def observe_all(outcomes: Iterable[ReflashOutcome], rule: WindowRule, as_of: date) -> tuple[Observation, ...]:
    """Every outcome as known on `as_of`; reflashes of later days are left out."""
    return tuple(observe(each, rule, as_of) for each in outcomes if each.reflashed_on <= as_of)


def _after_a_pass(outcome: ReflashOutcome, window: OwnWindow, age: int) -> Observation:
    end = _end_day(outcome, age)
    last = _seen_at_road_test(outcome)
    sold = False
    for day, follow_up in _in_order(outcome, age if end is None else end):
        miles = _miles_since(outcome, follow_up)
        if follow_up.result in FAILURES:
            if not follow_up.day_known:
                return _failed_sometime(outcome, window, (last or 0, day, age), follow_up.result)
            if day <= window.days and miles <= window.miles:
                return _failed(outcome, window, day, age, follow_up.result)
            return _followed(outcome, window, day, "came back after the window")
        if follow_up.result in SIGHTINGS:
            if day >= window.days or miles >= window.miles:
                return _followed(outcome, window, day, "free of the concern to the window")
            last = day if day > 0 else last
        sold = sold or follow_up.result == FollowUpResult.SOLD
    if end is not None and last is not None:
        if end >= window.days:
            late = _ended(outcome, window, last, UPDATED_AGAIN)
            return replace(late, silent_day=window.report_days)
        return _ended(outcome, window, end, UPDATED_AGAIN)
    if sold and last is not None:
        return _ended(outcome, window, last, "sold")
    return _silent(outcome, window, last, age)


def _failed(
    outcome: ReflashOutcome, window: OwnWindow, day: int, age: int, result: FollowUpResult
) -> Observation:
    failed = window.failed_day(day)
    told = _observation(outcome, FAILURES[result], failed, "not cured")
    could_show = max(failed, window.free_day(age))
    return replace(told, silent_day=could_show, days_after=day, shift=day - failed)


def _failed_sometime(
    outcome: ReflashOutcome, window: OwnWindow, days: tuple[int, int, int], result: FollowUpResult
) -> Observation:
    """Laid to end on the day it was heard of, so that no alarm is dated before anybody could know.

    `days`: the last on which it was known to be free of the concern, that of hearing, and its age.
    """
    day, heard_on, age = days
    told = _failed(outcome, window, day, age, result)
    return replace(told, shift=heard_on - told.day, day_known=False)


def _followed(outcome: ReflashOutcome, window: OwnWindow, day: int, reason: str) -> Observation:
    seen = _observation(outcome, FOLLOWED, window.report_days, reason)
    return replace(seen, days_after=min(day, window.days), shift=window.days - window.report_days)


def _ended(outcome: ReflashOutcome, window: OwnWindow, day: int, reason: str) -> Observation:
    free = window.free_day(day)
    return replace(_observation(outcome, Standing.ENDED, free, reason), days_after=day, shift=day - free)


def _silent(outcome: ReflashOutcome, window: OwnWindow, last: int | None, age: int) -> Observation:
    silent = window.free_day(age)
    shift = min(age, window.days) - silent
    if last is None:
        unknown = _observation(outcome, Standing.NOT_KNOWN, 0, "road test could not say, not seen since")
        return replace(unknown, silent_day=silent, shift=shift)
    waiting = age < window.days
    standing = Standing.IN_WINDOW if waiting else Standing.OVERDUE
    reason = "window still open" if waiting else "not asked since the window closed"
    seen = _observation(outcome, standing, window.free_day(last), reason)
    return replace(seen, silent_day=silent, days_after=min(last, window.days), shift=shift)


def _seen_at_road_test(outcome: ReflashOutcome) -> int | None:
    told = outcome.road_test == RoadTest.GONE and outcome.duplicated_before == Duplicated.YES
    return 0 if told else None


def _end_day(outcome: ReflashOutcome, age: int) -> int | None:
    updated = [f.seen_on for f in outcome.follow_ups if f.result == FollowUpResult.UPDATED_BY_AIR]
    ends = [*updated, *([outcome.superseded_on] if outcome.superseded_on else [])]
    days = [(end - outcome.reflashed_on).days for end in ends]
    return min((day for day in days if 0 <= day <= age), default=None)


def _in_order(outcome: ReflashOutcome, until: int) -> list[tuple[int, FollowUpDraft]]:
    dated = [((each.seen_on - outcome.reflashed_on).days, each) for each in outcome.follow_ups]
    kept = [(day, each) for day, each in dated if 0 <= day <= until]
    return sorted(kept, key=lambda pair: (pair[0], pair[1].result not in FAILURES, not pair[1].day_known))


def _miles_since(outcome: ReflashOutcome, follow_up: FollowUpDraft) -> int:
    if outcome.odometer is None or follow_up.odometer is None:
        return 0
    return follow_up.odometer - outcome.odometer


def _observation(outcome: ReflashOutcome, standing: Standing, day: int, reason: str) -> Observation:
    return Observation(
        outcome.update_id, outcome.reflashed_on, standing, day, day, outcome.other_work, reason
    )
