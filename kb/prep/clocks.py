"""When a clock is over, how it is said, and which clocks a text asks for."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import datetime, timedelta, tzinfo

from kb.errors import BadInput
from kb.nouns.bay.clocks import USUAL, Clock, ClockAsked, ClockKind, ClockView, Forbids
from kb.nouns.chance_words import counted
from kb.nouns.copying import copied
from kb.nouns.days import clock_words, day_words, typed_time

LONGEST_MINUTES = 10_080  # a week
LONGEST_MILES = 1_000
_COLD_FROM = 240
"""Minutes from which on a wait is a cold soak (common practice, no source)."""
_SPAN = re.compile(
    r"(\d{1,4})(?:\s*(?:to|-|–)\s*(\d{1,4}))?\s*-?\s*(min|minutes?|h|hrs?|hours?|mi|miles?)\b", re.I
)


def ends_at(asked: ClockAsked, now: datetime, zone: tzinfo) -> datetime | None:
    """The moment at which a clock started now is over; None of a drive, which ends by miles.

    Raises BadInput for a length or time that cannot be.
    """
    if asked.kind is ClockKind.RELEARN_MILES:
        return None
    if asked.until.strip():
        return _next_time(asked.until, now, zone)
    minutes = USUAL[asked.kind].minutes if asked.minutes is None else asked.minutes
    if not 1 <= minutes <= LONGEST_MINUTES:
        said = f"A clock runs from 1 to {LONGEST_MINUTES:,} minutes, a week."
        raise BadInput(said, fields={"minutes": said})
    return now + timedelta(minutes=minutes)


def miles_of(asked: ClockAsked) -> int | None:
    """How far a relearn drive goes; None of other clocks. Raises BadInput for what is no such distance."""
    if asked.kind is not ClockKind.RELEARN_MILES:
        return None
    miles = USUAL[asked.kind].miles if asked.miles is None else asked.miles
    if not 1 <= miles <= LONGEST_MILES:
        said = f"A relearn drive is from 1 to {LONGEST_MILES:,} miles."
        raise BadInput(said, fields={"miles": said})
    return miles


def kind_of_wait(minutes: int | None) -> ClockKind:
    """What a check waits for: a cold vehicle where it waits for hours."""
    return ClockKind.SOAK if (minutes or 0) >= _COLD_FROM else ClockKind.CHECK


def asked_by(text: str, ends_with: str = "") -> ClockAsked | None:
    """The clock that a printed relearn asks for: its longer minutes, or its miles; None without either."""
    found = _SPAN.search(text)
    if found is None:
        return None
    number, unit, remark = int(found[2] or found[1]), found[3].lower(), text.strip().rstrip(".")
    if unit in ("mi", "mile", "miles"):
        miles = min(max(number, 1), LONGEST_MILES)
        return ClockAsked(ClockKind.RELEARN_MILES, miles=miles, ends_with=ends_with, remark=remark)
    minutes = min(max(number * 60 if unit.startswith("h") else number, 1), LONGEST_MINUTES)
    return ClockAsked(ClockKind.RELEARN, minutes, ends_with=ends_with, remark=remark)


def as_they_end(clocks: Iterable[Clock]) -> list[Clock]:
    """Those that are over come first, the longest ahead; drives, which end by miles, come last."""
    return sorted(clocks, key=lambda one: (one.ends_at is None, one.ends_at or one.started_at, one.id))


def view_of(clock: Clock, now: datetime, zone: tzinfo) -> ClockView:
    over = clock.is_over(now)
    forbids = Forbids.NOTHING if over else USUAL[clock.kind].forbids
    return copied(ClockView, clock, said=_said(clock, now, zone), over=over, forbids=forbids)


def not_before(
    clocks: Iterable[Clock], now: datetime, zone: tzinfo, *, check: str, starts: bool, wakes: bool
) -> str:
    """Until when a check must wait for what runs, such as "7:40 AM: cold soak"; empty if it can be done now.

    It waits for a clock of its own, for one that forbids to start if it `starts` the engine, and for one
    that lets the vehicle sleep if it `wakes` it.
    """
    stands = {Forbids.NOTHING: False, Forbids.STARTING: starts, Forbids.WAKING: wakes}
    held = [
        (one.ends_at, one)
        for one in clocks
        if one.ends_at is not None
        and not one.is_over(now)
        and (one.ends_with == check or stands[USUAL[one.kind].forbids])
    ]
    if not held:
        return ""
    last = max(held, key=lambda pair: (pair[0], pair[1].id))[1]
    return f"{until_said(last, now, zone)}: {USUAL[last.kind].words}"


def until_said(clock: Clock, now: datetime, zone: tzinfo) -> str:
    """Such as "7:40 AM", "Dec 1 7:40 AM" on another day, or "80,050 mi"."""
    if clock.ends_at is None:
        if clock.ends_at_odometer is None:
            return f"{counted(clock.miles or 0)} miles are driven"
        return f"{counted(clock.ends_at_odometer)} mi"
    local, today = clock.ends_at.astimezone(zone).date(), now.astimezone(zone).date()
    day = "" if local == today else f"{day_words(local).partition(',')[0]} "
    return day + clock_words(clock.ends_at, zone)


def _said(clock: Clock, now: datetime, zone: tzinfo) -> str:
    """Such as "cold soak until 7:40 AM", "relearn over since 3:10 PM: idle relearn, 20 min"."""
    state = "over since" if clock.is_over(now) else "until"
    remark = f": {clock.remark}" if clock.remark else ""
    return f"{USUAL[clock.kind].words} {state} {until_said(clock, now, zone)}{remark}"


def _next_time(typed: str, now: datetime, zone: tzinfo) -> datetime:
    """The next moment at which the wall clock there shows this."""
    at = typed_time(typed)
    if at is None:
        said = "Until when? A time of day, like 7:40 AM."
        raise BadInput(said, fields={"until": "like 7:40 AM"})
    day = now.astimezone(zone).date()
    today = datetime.combine(day, at, zone)
    return today if today > now else datetime.combine(day + timedelta(days=1), at, zone)
