"""Days in a sentence, as people write them."""

from __future__ import annotations

from datetime import date


def day_words(day: date) -> str:
    """Such as "Sep 6, 2026"."""
    return f"{day:%b} {day.day}, {day.year}"
