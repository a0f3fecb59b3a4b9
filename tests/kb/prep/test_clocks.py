"""When a clock is over, how it is said, and what a printed relearn asks for. Times are worked out by hand."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import BadInput
from kb.nouns.bay.clocks import USUAL, Clock, ClockAsked, ClockKind
from kb.prep.clocks import as_they_end, asked_by, ends_at, not_before, view_of

ZONE = ZoneInfo("America/New_York")
EVENING = datetime(2026, 10, 31, 21, 30, tzinfo=UTC)  # 5:30 PM in New York, the night the clocks go back


def until(typed: str, now: datetime = EVENING) -> datetime:
    end = ends_at(ClockAsked(ClockKind.SOAK, until=typed), now, ZONE)
    assert end is not None
    return end


@pytest.mark.parametrize(
    ("typed", "end"),
    [
        ("7:40 AM", datetime(2026, 11, 1, 12, 40, tzinfo=UTC)),  # standard time by then: UTC-5
        ("7:40", datetime(2026, 11, 1, 12, 40, tzinfo=UTC)),
        ("7 pm", datetime(2026, 10, 31, 23, 0, tzinfo=UTC)),  # still summer time: UTC-4
        ("19:00", datetime(2026, 10, 31, 23, 0, tzinfo=UTC)),
        ("12:05 a.m.", datetime(2026, 11, 1, 4, 5, tzinfo=UTC)),
        ("12 p", datetime(2026, 11, 1, 17, 0, tzinfo=UTC)),
    ],
)
def test_until_is_the_next_time_that_the_wall_clock_shows_it(typed: str, end: datetime) -> None:
    assert until(typed) == end


@pytest.mark.parametrize("typed", ["25:00", "7:75", "13 pm", "0 am", "tomorrow", "-1", "7:4"])
def test_what_is_no_time_of_day_is_refused(typed: str) -> None:
    with pytest.raises(BadInput, match="7:40 AM"):
        until(typed)


@given(st.integers(0, 23), st.integers(0, 59), st.integers(0, 2 * 365 * 24 * 60))
def test_it_lies_ahead_within_a_day_and_shows_that_time(hour: int, minute: int, later: int) -> None:
    moment = EVENING + timedelta(minutes=later)
    end = until(f"{hour}:{minute:02d}", moment)
    assert moment < end <= moment + timedelta(hours=25)
    shown = end.astimezone(UTC).astimezone(ZONE)
    skipped = shown.dst() != end.dst() or (shown.hour, shown.minute) != (hour, minute)
    assert not skipped or (shown.month == 3 and hour == 2)  # the hour that spring leaves out


@pytest.mark.parametrize(
    ("kind", "ends_with", "check", "starts", "wakes", "held"),
    [
        (ClockKind.SOAK, "", "road", True, True, True),
        (ClockKind.SOAK, "", "oil", False, True, False),
        (ClockKind.SOAK, "soaked", "soaked", False, True, True),  # what it waits for
        (ClockKind.ASLEEP, "", "oil", False, True, True),
        (ClockKind.ASLEEP, "", "asked", False, False, False),
        (ClockKind.CHARGING, "", "road", True, True, False),
    ],
)
def test_a_clock_that_runs_holds_back_what_its_tag_forbids_and_what_waits_for_it(
    kind: ClockKind, ends_with: str, check: str, starts: bool, wakes: bool, held: bool
) -> None:
    end = EVENING + timedelta(minutes=100)  # 7:10 PM there
    clock = Clock(1, 1, kind, "", EVENING, "tech", end, None, None, ends_with)
    said = not_before([clock], EVENING, ZONE, check=check, starts=starts, wakes=wakes)
    assert said == (f"7:10 PM: {USUAL[kind].words}" if held else "")
    assert not_before([clock], end, ZONE, check=check, starts=starts, wakes=wakes) == ""


@pytest.mark.parametrize(
    ("text", "kind", "length"),
    [
        ("idle relearn, 20 min", ClockKind.RELEARN, 20),
        ("Let it idle 10 to 15 minutes in Park.", ClockKind.RELEARN, 15),
        ("drive 10 miles", ClockKind.RELEARN_MILES, 10),
        ("soft shifts for the first 30-50 mi", ClockKind.RELEARN_MILES, 50),
        ("key off 1 h", ClockKind.RELEARN, 60),
        ("a 20-minute idle", ClockKind.RELEARN, 20),
    ],
)
def test_a_printed_relearn_asks_for_its_clock(text: str, kind: ClockKind, length: int) -> None:
    asked = asked_by(text, "line")
    assert asked is not None
    assert (asked.kind, asked.minutes or asked.miles, asked.ends_with) == (kind, length, "line")


@pytest.mark.parametrize(
    "text", ["throttle body relearn", "turn the key 3 times", "set idle to 650 rpm", "12 mm"]
)
def test_one_without_minutes_or_miles_asks_for_none(text: str) -> None:
    assert asked_by(text) is None


def a_clock(number: int, kind: ClockKind = ClockKind.SOAK, hours: float | None = None, **said: int) -> Clock:
    end = None if hours is None else EVENING + timedelta(hours=hours)
    odometer, miles = said.get("odometer"), said.get("miles")
    return Clock(number, 1, kind, "", EVENING, "tech", end, odometer, miles, "")


def test_the_ones_that_are_over_come_first_and_drives_last() -> None:
    drive = a_clock(1, ClockKind.RELEARN_MILES, miles=50)
    clocks = [drive, a_clock(2, hours=14), a_clock(3, hours=-1), a_clock(4, hours=-9)]
    assert [one.id for one in as_they_end(clocks)] == [4, 3, 2, 1]


@pytest.mark.parametrize(
    ("clock", "said", "forbids"),
    [
        (a_clock(1, hours=15 + 1 / 6), "cold soak until Nov 1 7:40 AM", "DO NOT START"),
        (a_clock(1, hours=-1), "cold soak over since 4:30 PM", ""),
        (a_clock(1, ClockKind.ASLEEP, hours=0.75), "draw test, asleep until 6:15 PM", "DO NOT OPEN OR WAKE"),
        (a_clock(1, ClockKind.RELEARN_MILES, odometer=80_050, miles=50), "relearn drive until 80,050 mi", ""),
        (a_clock(1, ClockKind.RELEARN_MILES, miles=50), "relearn drive until 50 miles are driven", ""),
    ],
)
def test_a_clock_says_when_it_is_over(clock: Clock, said: str, forbids: str) -> None:
    view = view_of(clock, EVENING, ZONE)
    assert (view.said, view.forbids) == (said, forbids)
