"""Days and hours in a sentence, as people write them."""

from __future__ import annotations

from datetime import date, datetime, tzinfo


def day_words(day: date) -> str:
    """Such as "Sep 6, 2026"."""
    return f"{day:%b} {day.day}, {day.year}"


def clock_words(when: datetime, zone: tzinfo) -> str:
    """The wall clock there: "8:40 AM"."""
    local = when.astimezone(zone)
    return f"{local.hour % 12 or 12}:{local:%M} {'AM' if local.hour < 12 else 'PM'}"
