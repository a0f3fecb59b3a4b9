"""The story is drawn for one Thursday and told for the last one, moved by whole weeks: every day the same."""

from __future__ import annotations

from datetime import date, timedelta

STORY_DAY = date(2026, 10, 29)
"""The newest day of the story as it is drawn. Model years and build dates belong to this calendar."""


def newest_day(today: date) -> date:
    """The newest day of the story told on `today`: the last day of its weekday, 0 to 6 days ago."""
    return today - timedelta(days=(today - STORY_DAY).days % 7)


def moved(newest: date) -> timedelta:
    """How far the story whose newest day is `newest` lies from its drawing: whole weeks."""
    return newest - STORY_DAY
