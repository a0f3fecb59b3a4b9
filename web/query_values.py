"""What an address asks for: ids, numbers and days within bounds; nonsense is refused in a sentence."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from typing import Annotated, TypeVar

from fastapi import Query

from api.schemas.base import BIGGEST_ID
from kb.errors import BadInput

Choice = TypeVar("Choice", bound=StrEnum)
OptionalId = Annotated[int | None, Query(ge=1, le=BIGGEST_ID)]
FIRST_DAY, LAST_DAY = date(1980, 1, 1), date(2199, 12, 31)


def number_asked(text: str, field: str, most: int = BIGGEST_ID) -> int | None:
    """A whole number from 1 to `most`; None where nothing is asked. Raises BadInput that names the field."""
    if not text:
        return None
    if not (text.isascii() and text.isdecimal() and len(text) <= len(str(most)) and 1 <= int(text) <= most):
        raise BadInput(f"That is no number from 1 to {most:,}.", fields={field: f"1 to {most:,}"})
    return int(text)


def day_asked(text: str, field: str) -> date | None:
    """A day of the years 1980 to 2199; None where nothing is asked. Raises BadInput that names the field."""
    if not text:
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise BadInput("A day reads like 2026-10-31.", fields={field: "like 2026-10-31"}) from None
    if not FIRST_DAY <= day <= LAST_DAY:
        years = f"{FIRST_DAY.year} to {LAST_DAY.year}"
        raise BadInput(f"Only days of the years {years} can be asked for.", fields={field: years})
    return day


def choice_asked(text: str, kind: type[Choice], field: str) -> Choice | None:
    """One of a kind; None where nothing is asked. Raises BadInput that names the field."""
    if not text:
        return None
    try:
        return kind(text)
    except ValueError:
        known = ", ".join(one.value for one in kind)
        raise BadInput(f"That is none of {known}.", fields={field: known}) from None
