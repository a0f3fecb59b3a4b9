"""What an address asks for: ids, numbers and days within bounds; nonsense is refused in a sentence."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from typing import Annotated, TypeVar

from fastapi import Query

from api.schemas.base import BIGGEST_ID
from api.typed.days import day_written
from kb.errors import BadInput

Choice = TypeVar("Choice", bound=StrEnum)
OptionalId = Annotated[int | None, Query(ge=1, le=BIGGEST_ID)]


def number_asked(text: str, field: str, most: int = BIGGEST_ID) -> int | None:
    """A whole number from 1 to `most`; None where nothing is asked. Raises BadInput that names the field."""
    if not text:
        return None
    if not (text.isascii() and text.isdecimal() and len(text) <= len(str(most)) and 1 <= int(text) <= most):
        raise BadInput(f"That is no number from 1 to {most:,}.", fields={field: f"1 to {most:,}"})
    return int(text)


def day_asked(text: str, field: str) -> date | None:
    """A day of 1886 to next year; None where nothing is asked. Raises BadInput that names the field."""
    if not text:
        return None
    try:
        return day_written(text, field)
    except ValueError:
        raise BadInput("A day reads like 2026-10-31.", fields={field: "like 2026-10-31"}) from None


def choice_asked(text: str, kind: type[Choice], field: str) -> Choice | None:
    """One of a kind; None where nothing is asked. Raises BadInput that names the field."""
    if not text:
        return None
    try:
        return kind(text)
    except ValueError:
        known = ", ".join(one.value for one in kind)
        raise BadInput(f"That is none of {known}.", fields={field: known}) from None
