"""What becomes of a vehicle after the visit: endings, comebacks, calls, silence."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, log
from random import Random
from zlib import crc32

from demo_data.cases import Case
from demo_data.programming import Sitting
from demo_data.story import Closed, Decided, FollowedUp, StoryEvent, Truth
from demo_data.truth import DELAY_SCALE_DAYS, DELAY_SHAPE, SEEN_ONCE, SILENT, WINDOW_DAYS
from kb.nouns.bay.instead import FREE_AT_DEALER, LEAVING_TODAY, NO_TOOL
from kb.nouns.concerns import (
    Duplicated,
    Ending,
    FollowUpDraft,
    FollowUpResult,
    HowHeard,
    RoadTest,
)

_NEW = (
    "shifts late since you did the update",
    "drinks more gas since the update",
    "radio presets gone, clock wrong",
)
_ELSEWHERE = (NO_TOOL, NO_TOOL, LEAVING_TODAY, FREE_AT_DEALER)
_AT_A_VISIT = "at the next visit"
_HOW = ("by phone", _AT_A_VISIT, "by text message")


@dataclass(frozen=True, slots=True)
class Fate:
    """When the concern comes back after an update (None: never) and until when the vehicle is heard of."""

    delay: int | None
    silent_after: date | None


def endings(case: Case, sitting: Sitting, rng: Random) -> list[StoryEvent]:
    """How the concern closes, as the shop sees it on that day."""
    day = sitting.day
    if sitting.left:
        ending = rng.choice((Ending.NOT_RESOLVED, Ending.NOT_RESOLVED, Ending.SENT_TO_DEALER))
        return [*_why_elsewhere(case, day, ending), _closed(case, day, ending)]
    if sitting.module_lost:
        return [
            _closed(
                case, day + timedelta(days=1), Ending.SENT_TO_DEALER, cost=rng.randrange(60_000, 90_000, 500)
            )
        ]
    if sitting.installed and sitting.road_test is not RoadTest.STILL_THERE:
        return [_closed(case, day, Ending.CURED_BY_REFLASH)]
    later = day + timedelta(days=rng.randrange(3))
    shown = sitting.installed
    solved = sitting.cause_found if not sitting.tried else rng.random() < 0.85
    cost = rng.randrange(4_000, 15_000, 100) if shown else 0
    if solved and case.cause:
        return [_closed(case, later, Ending.OTHER_CAUSE, cost)]
    return [_closed(case, later, rng.choice((Ending.SENT_TO_DEALER, Ending.NOT_RESOLVED)), cost)]


def _why_elsewhere(case: Case, day: date, ending: Ending) -> list[StoryEvent]:
    """Why it went to the dealer: the same whenever the story is told."""
    if ending is not Ending.SENT_TO_DEALER:
        return []
    reason = _ELSEWHERE[crc32(case.concern.encode()) % len(_ELSEWHERE)]
    return [StoryEvent(day, case.technician, Decided(case.concern, ending.value, "", reason))]


def _closed(case: Case, day: date, ending: Ending, cost: int = 0) -> StoryEvent:
    cause = case.cause if ending is Ending.OTHER_CAUSE else ""
    update = case.opened_number if ending is Ending.CURED_BY_REFLASH else ""
    return StoryEvent(day, case.technician, Closed(case.concern, ending, update, cause, cost))


def draw_fate(case: Case, sitting: Sitting, rng: Random) -> Fate:
    """Comeback and silence, drawn apart: who falls silent does not hang on how the reflash went."""
    gap = case.draft.usual_gap_days
    delay = None if case.cures else draw_delay(rng.random(), float(gap or DELAY_SCALE_DAYS))
    if sitting.road_test is RoadTest.STILL_THERE:
        delay = None
    draw = rng.random()
    if draw < SILENT:
        return Fate(delay, sitting.day)
    if draw < SILENT + SEEN_ONCE:
        return Fate(delay, sitting.day + timedelta(days=rng.randint(10, 80)))
    return Fate(delay, None)


def draw_delay(chance: float, scale: float) -> int:
    """Whole days, at least 1, by the inverse of the delay curve in truth.py."""
    days: float = scale * (-log(1 - chance)) ** (1 / DELAY_SHAPE)
    return max(1, ceil(days))


def news(case: Case, sitting: Sitting, fate: Fate, today: date, rng: Random) -> list[StoryEvent]:
    """The follow-ups: comebacks that the shop hears of, calls at the window, vehicles seen once."""
    back = sitting.day + timedelta(days=fate.delay) if fate.delay is not None else None
    window = max(WINDOW_DAYS, 3 * (case.draft.usual_gap_days or 0))
    call = sitting.day + timedelta(days=window + rng.randint(0, 14))
    if fate.silent_after == sitting.day:
        return [_heard(case, call, FollowUpResult.NO_ANSWER, rng)] if rng.random() < 0.4 else []
    if fate.silent_after is not None and (back is None or back > fate.silent_after):
        return [_heard(case, fate.silent_after, FollowUpResult.FINE, rng)]
    if back is not None and (back - sitting.day).days <= window:
        return _comeback(case, back, today, rng)
    told, ends = _on_the_way(case, sitting.day, rng)
    if ends:
        return told
    told.append(_heard(case, call, FollowUpResult.FINE, rng))
    if back is None:
        return told
    return told + _comeback(case, max(back, call + timedelta(days=1)), today, rng)


def _on_the_way(case: Case, day: date, rng: Random) -> tuple[list[StoryEvent], bool]:
    """Rare news before the window ends, and whether the vehicle's count ends with it."""
    draw, later = rng.random(), day + timedelta(days=rng.randint(20, 80))
    if draw < 0.015:
        return [_heard(case, later, FollowUpResult.UPDATED_BY_AIR, rng)], True
    if draw < 0.03:
        return [_heard(case, later, FollowUpResult.SOLD, rng)], True
    if draw < 0.055:
        soon = day + timedelta(days=rng.randint(3, 30))
        return [_heard(case, soon, FollowUpResult.NEW_COMPLAINT, rng, rng.choice(_NEW))], False
    return [], False


def _comeback(case: Case, day: date, today: date, rng: Random) -> list[StoryEvent]:
    """The concern is open again; most causes are then found within days, by today at the latest.

    What it cost the shop stands on the follow-up.
    """
    cost = rng.randrange(9_000, 38_000, 100)
    if rng.random() < 0.08:
        remark = f"found at service: {case.cause}"
        told = [_heard(case, day, FollowUpResult.OTHER_CAUSE, rng, remark, cost)]
        return [*told, _closed(case, day, Ending.OTHER_CAUSE)]
    told = [_heard(case, day, FollowUpResult.CAME_BACK, rng, "same concern", cost)]
    later = max(day, min(day + timedelta(days=rng.randint(1, 4)), today))
    if rng.random() < 0.8:
        told.append(_heard(case, later, FollowUpResult.OTHER_CAUSE, rng, case.cause))
        return [*told, _closed(case, later, Ending.OTHER_CAUSE)]
    return [*told, _closed(case, later, rng.choice((Ending.SENT_TO_DEALER, Ending.NOT_RESOLVED)))]


def _heard(
    case: Case, day: date, result: FollowUpResult, rng: Random, remark: str = "", cost: int | None = None
) -> StoryEvent:
    """Unasked where the customer came by itself; on the phone and by message somebody had asked."""
    read = result is not FollowUpResult.NO_ANSWER and rng.random() < 0.6
    odometer = case.car.odometer(day) if read else None
    how = rng.choice(_HOW)
    came = how == _AT_A_VISIT and result is not FollowUpResult.NO_ANSWER
    draft = FollowUpDraft(
        result, day, odometer, how, remark, cost, heard=HowHeard.UNASKED if came else HowHeard.ASKED
    )
    return StoryEvent(day, "owner", FollowedUp(case.concern, draft))


def truth_of(case: Case, sitting: Sitting, fate: Fate | None, today: date) -> Truth:
    return Truth(
        concern=case.concern,
        family=case.family.key,
        considered=case.opened_number,
        cures=case.cures,
        cause=case.cause,
        opened_days_ago=(today - case.opened_on).days,
        reflashed=sitting.installed,
        installed_on=sitting.day if sitting.installed else None,
        delay_days=fate.delay if fate else None,
        silent_after=fate.silent_after if fate else None,
        other_work=sitting.other_work,
        duplicated=case.duplicated is Duplicated.YES,
    )
