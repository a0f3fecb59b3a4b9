"""The trail of who did what, as it is read and checked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from kb.nouns.shop.trail_words import SAID


@dataclass(frozen=True, slots=True)
class TrailLine:
    """`detail`: its words by name; `words_gone`: they were taken away."""

    id: int
    at: datetime
    who: str
    action: str
    noun: str
    noun_id: int | None
    detail: Mapping[str, Any]
    words_gone: bool

    @property
    def said(self) -> str:
        """What was done, in words that what it was done to follows."""
        return SAID.get(self.action, self.action)


@dataclass(frozen=True, slots=True)
class TrailAsked:
    """Which lines: of a person, of a kind of thing, of a day, older than a line. Empty asks for all."""

    who: str = ""
    noun: str = ""
    day: date | None = None
    before: int | None = None


@dataclass(frozen=True, slots=True)
class TrailCheck:
    """Whether the lines hang together.

    `lines`: how many were gone through. `broken_at`: the first that does not hold, 0 where the end is
    missing, None where all hold. `says`: that as a sentence. `seal`: of the last
    line, to be noted down elsewhere.
    """

    lines: int
    broken_at: int | None
    says: str
    seal: str
    without_words: int

    @property
    def holds(self) -> bool:
        return self.broken_at is None


@dataclass(frozen=True, slots=True)
class TrailPage:
    """Lines, the newest first; `older`: the id to go on before, None at the end. And what may be chosen.

    `accounts`: the name of each account by its id, as lines about one give it.
    """

    lines: tuple[TrailLine, ...]
    older: int | None
    people: tuple[str, ...]
    accounts: Mapping[int, str]
    nouns: tuple[str, ...]
    checked_at: datetime | None
    checked_by: str
    checked_says: str
