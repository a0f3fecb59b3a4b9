"""What speaks against an update: an alarm, and its place among all updates of the shop."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class AlarmKind(StrEnum):
    """What an update is held against: the shop without it, or its own past."""

    SHOP = "shop"
    PAST = "past"


@dataclass(frozen=True, slots=True)
class Alarm:
    """More comebacks than bad luck explains: against what, the day that crossed the limit, and a sentence."""

    kind: AlarmKind
    since: date
    sentence: str


class Apart(StrEnum):
    """Whether an update's cure rate is told apart from the shop's by its counts alone."""

    CLOSE = ""
    BELOW = "below"
    ABOVE = "above"


@dataclass(frozen=True, slots=True)
class Place:
    """Between which rates luck alone would put an update of so many vehicles, and where it lies."""

    low: float
    high: float
    apart: Apart
