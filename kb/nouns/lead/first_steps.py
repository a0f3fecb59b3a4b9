"""The steps that a new shop takes first."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class FirstStep(StrEnum):
    """In the order in which they help."""

    MONEY = "money"
    RECALLS = "recalls"
    HISTORY = "history"
    BULLETIN = "bulletin"
    PEOPLE = "people"
    BACKUPS = "backups"


@dataclass(frozen=True, slots=True)
class FirstSteps:
    """Which steps are taken, by what is on file, and whether somebody put the list away."""

    done: frozenset[FirstStep]
    put_away: bool

    @property
    def next(self) -> FirstStep | None:
        """The first one that is not taken yet."""
        return next((step for step in FirstStep if step not in self.done), None)

    @property
    def shown(self) -> bool:
        """Whether the list still helps."""
        return not self.put_away and len(self.done) < len(FirstStep)
