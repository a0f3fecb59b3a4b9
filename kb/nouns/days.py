"""Days and hours in a sentence, as people write them."""

from __future__ import annotations

import re
from datetime import date, datetime, time, tzinfo

_TIME = re.compile(r"(\d{1,2})(?::(\d{2}))?\s*(?:([ap])\.?(?:m\.?)?)?", re.I)


def day_words(day: date) -> str:
    """Such as "Sep 6, 2026"."""
    return f"{day:%b} {day.day}, {day.year}"


def days_said(days: int) -> str:
    """A length: "1 day", "1,095 days"."""
    return "1 day" if days == 1 else f"{days:,} days"


def clock_words(when: datetime, zone: tzinfo) -> str:
    """The wall clock there: "8:40 AM"."""
    return time_words(when.astimezone(zone).time())


def time_words(at: time) -> str:
    """Such as "8:40 AM"."""
    return f"{at.hour % 12 or 12}:{at.minute:02d} {'AM' if at.hour < 12 else 'PM'}"


def typed_time(typed: str) -> time | None:
    """The time of day of "3:30 PM", "3:30p" or "15:30"; None for what is none."""
    found = _TIME.fullmatch(typed.strip())
    if found is None:
        return None
    hour, minute, half = int(found[1]), int(found[2] or 0), (found[3] or "").lower()
    if half and not 1 <= hour <= 12:
        return None
    hour = hour % 12 + (12 if half == "p" else 0) if half else hour
    return time(hour, minute) if hour < 24 and minute < 60 else None
