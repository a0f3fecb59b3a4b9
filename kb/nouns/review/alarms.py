"""What speaks against an update: an alarm, and its place among all updates of the shop."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from types import MappingProxyType


class AlarmKind(StrEnum):
    """What an update is held against: the shop without it, or its own past."""

    SHOP = "shop"
    PAST = "past"


ALARM_WORDS = {AlarmKind.SHOP: "worse than the shop", AlarmKind.PAST: "worse than it was"}


@dataclass(frozen=True, slots=True)
class Alarm:
    """More comebacks than bad luck explains: against what, the day that crossed the limit, and a sentence."""

    kind: AlarmKind
    since: date
    sentence: str


@dataclass(frozen=True, slots=True)
class HowOftenFalse:
    """Reflashes between false alarms, where nothing changes: all updates cure `alike`, or steady ones differ
    (`differing`), where one that always cured less than the others is told against the shop as well.
    """

    alike: int
    differing: int


HOW_OFTEN_FALSE: Mapping[AlarmKind, HowOftenFalse] = MappingProxyType(
    {AlarmKind.SHOP: HowOftenFalse(610, 150), AlarmKind.PAST: HowOftenFalse(380, 480)}
)
"""As measured by `python -m tests.bench.drift` in its 100 invented shops, to two figures."""


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
