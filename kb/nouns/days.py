"""Days and hours in a sentence, as people write them."""

from __future__ import annotations

from datetime import date, datetime, time, tzinfo


def day_words(day: date) -> str:
    """Such as "Sep 6, 2026"."""
    return f"{day:%b} {day.day}, {day.year}"


def clock_words(when: datetime, zone: tzinfo) -> str:
    """The wall clock there: "8:40 AM"."""
    return time_words(when.astimezone(zone).time())


def time_words(at: time) -> str:
    """Such as "8:40 AM"."""
    return f"{at.hour % 12 or 12}:{at.minute:02d} {'AM' if at.hour < 12 else 'PM'}"
