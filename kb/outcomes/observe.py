"""One reflash and what was heard since, by a window: a failure on a day, or free of the concern to a day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from kb.errors import BadInput
from kb.nouns.concerns import Duplicated, FollowUpDraft, FollowUpResult, HowHeard, RoadTest
from kb.nouns.outcomes import Observation, Reflashed, Standing, WindowRule
from kb.outcomes.window import OwnWindow, own_window

_FAILED_AS = {FollowUpResult.CAME_BACK: Standing.COMEBACK, FollowUpResult.OTHER_CAUSE: Standing.OTHER_CAUSE}
SIGHTINGS = {FollowUpResult.FINE}
"""What makes a vehicle known to be free of the concern: somebody who knows said so.

Having been here for something else while nobody asked is no sighting. It counts as silence does (v of
kb.outcomes.silence, s not moved): the least that it can mean, since whoever stands at the counter tells of a
failure at least as likely as whoever stays at home. As a sighting it would take every failure not mentioned
for one that is not there, and a visit on the window's last day for a cure. Nor is it an answer to a call: r,
the share reached on asking, stays as it is.
"""
_HEARD_FIRST = (HowHeard.UNASKED, HowHeard.ASKED, HowHeard.NOT_SAID)
FOLLOWED = Standing.FOLLOWED_TO_WINDOW
UPDATED_AGAIN = "updated again"


def observe(reflash: Reflashed, heard: Sequence[FollowUpDraft], rule: WindowRule, as_of: date) -> Observation:
    """What is known of the reflash on `as_of`. What is dated later, or before the reflash, is passed over.

    The first of these, in the order of the days, decides; `last` is the last day known free of the concern.

    | heard                                      | counts as                                               |
    |--------------------------------------------|---------------------------------------------------------|
    | still there at the road test               | failed on day 0                                         |
    | came back or other cause, in the window    | failed that day, also the window's last                 |
    | the same, nobody knows since when          | failed on `last`, else day 0                            |
    | came back after the window                 | followed to the window                                  |
    | fine, on the window's last day or later    | followed to the window                                  |
    | updated by air or again, in the window     | ended that day; what is heard later is passed over      |
    | the same after the window                  | ended on `last`                                         |
    | sold                                       | ended on `last`; later news of the vehicle still counts |
    | nothing more, `last` known                 | waiting; overdue once the window is over                |
    | nothing, road test gone, duplicated before | the same with `last` day 0                              |
    | nothing, the road test could not say       | not known: in no rate until it is seen on a later day   |
    | a new complaint, or not asked              | nothing                                                 |

    A failure of unknown day counts on `last` (design, section 6), since a vehicle that is asked after its
    window must not become a cure by coming back. What the road test could not say is counted on the same
    terms as any other once it is seen: its failures without its cures would pull the rate down. Raises
    BadInput for a reflash after `as_of`.
    """
    age = (as_of - reflash.reflashed_on).days
    if age < 0:
        raise BadInput("This reflash is dated after the day of the report.", fields={"as_of": "too early"})
    window = own_window(rule, reflash.usual_gap_days)
    if reflash.road_test == RoadTest.STILL_THERE:
        told = _observation(reflash, Standing.FAILED_AT_ROAD_TEST, 0, "still there at road test")
        return replace(told, silent_day=window.free_day(age))
    return _after_a_pass(reflash, heard, window, age)


def ends_on(reflash: Reflashed, heard: Sequence[FollowUpDraft]) -> date | None:
    """The day from which the vehicle tells no more of it: updated by air or by a later reflash."""
    updated = [one.seen_on for one in heard if one.result == FollowUpResult.UPDATED_BY_AIR]
    ends = [*updated, *([reflash.superseded_on] if reflash.superseded_on else [])]
    return min((day for day in ends if day >= reflash.reflashed_on), default=None)


def _after_a_pass(
    reflash: Reflashed, heard: Sequence[FollowUpDraft], window: OwnWindow, age: int
) -> Observation:
    end = _end_day(reflash, heard, age)
    last = _seen_at_road_test(reflash)
    sold = False
    for day, said in _in_order(reflash, heard, age if end is None else end):
        miles = _miles_since(reflash, said)
        if said.result in _FAILED_AS:
            if not said.day_known:
                return _failed_sometime(reflash, window, (last or 0, day, age), said)
            if day <= window.days and miles <= window.miles:
                return _failed(reflash, window, day, age, said)
            return _followed(reflash, window, day, "came back after the window")
        if said.result in SIGHTINGS:
            if day >= window.days or miles >= window.miles:
                return _followed(reflash, window, day, "free of the concern to the window")
            last = day if day > 0 else last
        sold = sold or said.result == FollowUpResult.SOLD
    if end is not None and last is not None:
        if end >= window.days:
            late = _ended(reflash, window, last, UPDATED_AGAIN)
            return replace(late, silent_day=window.report_days)
        return _ended(reflash, window, end, UPDATED_AGAIN)
    if sold and last is not None:
        return _ended(reflash, window, last, "sold")
    return _silent(reflash, window, last, age)


def _failed(reflash: Reflashed, window: OwnWindow, day: int, age: int, said: FollowUpDraft) -> Observation:
    failed = window.failed_day(day)
    told = _observation(reflash, _FAILED_AS[said.result], failed, "not cured")
    could_show = max(failed, window.free_day(age))
    return replace(told, silent_day=could_show, days_after=day, shift=day - failed, heard=said.heard)


def _failed_sometime(
    reflash: Reflashed, window: OwnWindow, days: tuple[int, int, int], said: FollowUpDraft
) -> Observation:
    """Laid to end on the day it was heard of, so that no alarm is dated before anybody could know.

    `days`: the last on which it was known to be free of the concern, that of hearing, and its age.
    """
    day, heard_on, age = days
    told = _failed(reflash, window, day, age, said)
    return replace(told, shift=heard_on - told.day, day_known=False)


def _followed(reflash: Reflashed, window: OwnWindow, day: int, reason: str) -> Observation:
    seen = _observation(reflash, FOLLOWED, window.report_days, reason)
    return replace(seen, days_after=min(day, window.days), shift=window.days - window.report_days)


def _ended(reflash: Reflashed, window: OwnWindow, day: int, reason: str) -> Observation:
    free = window.free_day(day)
    return replace(_observation(reflash, Standing.ENDED, free, reason), days_after=day, shift=day - free)


def _silent(reflash: Reflashed, window: OwnWindow, last: int | None, age: int) -> Observation:
    silent = window.free_day(age)
    shift = min(age, window.days) - silent
    if last is None:
        unknown = _observation(reflash, Standing.NOT_KNOWN, 0, "road test could not say, not seen since")
        return replace(unknown, silent_day=silent, shift=shift)
    waiting = age < window.days
    standing = Standing.IN_WINDOW if waiting else Standing.OVERDUE
    reason = "window still open" if waiting else "not asked since the window closed"
    seen = _observation(reflash, standing, window.free_day(last), reason)
    return replace(seen, silent_day=silent, days_after=min(last, window.days), shift=shift)


def _seen_at_road_test(reflash: Reflashed) -> int | None:
    told = reflash.road_test == RoadTest.GONE and reflash.duplicated_before == Duplicated.YES
    return 0 if told else None


def _end_day(reflash: Reflashed, heard: Sequence[FollowUpDraft], age: int) -> int | None:
    end = ends_on(reflash, heard)
    day = None if end is None else (end - reflash.reflashed_on).days
    return None if day is None or day > age else day


def _in_order(
    reflash: Reflashed, heard: Sequence[FollowUpDraft], until: int
) -> list[tuple[int, FollowUpDraft]]:
    dated = [((one.seen_on - reflash.reflashed_on).days, one) for one in heard]
    kept = [(day, one) for day, one in dated if 0 <= day <= until]
    return sorted(kept, key=lambda pair: (pair[0], *_on_one_day(pair[1])))


def _on_one_day(said: FollowUpDraft) -> tuple[bool, bool, int, bool, int]:
    """What of one day tells first, whatever was typed first: a failure, on a known day, of fewest miles.

    Of failures a comeback tells before another cause, which counts as found either way, and one told by
    itself before one asked for. Nothing is left to the order of writing: taking an import back writes anew.
    """
    other_cause = said.result is FollowUpResult.OTHER_CAUSE
    miles, heard = said.odometer or 0, _HEARD_FIRST.index(said.heard)
    return said.result not in _FAILED_AS, not said.day_known, miles, other_cause, heard


def _miles_since(reflash: Reflashed, said: FollowUpDraft) -> int:
    if reflash.odometer is None or said.odometer is None:
        return 0
    return said.odometer - reflash.odometer


def _observation(reflash: Reflashed, standing: Standing, day: int, reason: str) -> Observation:
    return Observation(reflash, standing, day, day, reason)
