"""What is read of a label, a screen or a scan report: one value and the words that it was read from."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol, TypeVar


class Seen(StrEnum):
    """The fields that stand on a label, a screen or a report, as programs name them; `newest_id` is what a
    look-up by VIN offers for a module.
    """

    VIN = "vin"
    CODE = "code"
    CALIBRATION_ID = "calibration_id"
    CVN = "cvn"
    HARDWARE_NUMBER = "hardware_number"
    SOFTWARE_NUMBER = "software_number"
    ODOMETER = "odometer"
    VOLTAGE = "voltage"
    NEWEST_ID = "newest_id"


@dataclass(frozen=True, slots=True)
class Found:
    """One value, its module and (of a trouble code) its status; empty where it is not said.

    `doubtful` are the places of the value, from 1, where the text may also be read otherwise. Miles and volts
    are figures without their unit.
    """

    field: Seen
    value: str
    read_from: str
    module: str = ""
    status: str = ""
    doubtful: tuple[int, ...] = ()


class Said(Protocol):
    """A value with what is said of it."""

    @property
    def field(self) -> Seen: ...
    @property
    def value(self) -> str: ...
    @property
    def module(self) -> str: ...
    @property
    def status(self) -> str: ...
    @property
    def doubtful(self) -> tuple[int, ...]: ...


Value = TypeVar("Value", bound=Said)


def each_once(found: Iterable[Value]) -> tuple[Value, ...]:
    """Each value once for each module and state, as it was read best; one that says less than another is
    left out.
    """
    said: dict[tuple[Seen, str], dict[tuple[str, str], Value]] = {}
    for one in found:
        alike, own = said.setdefault((one.field, one.value), {}), (one.module, one.status)
        alike[own] = min(alike.get(own, one), one, key=lambda it: len(it.doubtful))
    return tuple(one for alike in said.values() for one in alike.values() if not _says_less(one, alike))


def _says_less(one: Said, alike: Collection[tuple[str, str]]) -> bool:
    """Whether another reading of the value says the same of it, and more."""
    own = (one.module, one.status)
    return any(
        other != own and all(mine in ("", theirs) for mine, theirs in zip(own, other, strict=True))
        for other in alike
    )
