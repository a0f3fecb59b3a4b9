"""Days that people and programs write are of years that there can be; the clock is asked here."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime

from kb.nouns.model_years import check_day

_WRITTEN = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def this_year() -> int:
    return datetime.now(UTC).year


def day_written(text: str, field: str, *, ahead: bool = False) -> date:
    """The day of "2026-10-31". ValueError for what is no day, BadInput for a year that there cannot be.

    `ahead`: it lies ahead by nature.
    """
    if not _WRITTEN.fullmatch(text):
        raise ValueError(text)
    return check_day(date.fromisoformat(text), this_year(), field, ahead=ahead)
