"""What is read of a label, a screen or a scan report: one value and the words that it was read from."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from enum import StrEnum


class Seen(StrEnum):
    """The fields that stand on a label, a screen or a report, as programs name them."""

    VIN = "vin"
    CODE = "code"
    CALIBRATION_ID = "calibration_id"
    CVN = "cvn"
    HARDWARE_NUMBER = "hardware_number"
    SOFTWARE_NUMBER = "software_number"
    ODOMETER = "odometer"
    VOLTAGE = "voltage"


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


def each_once(found: Sequence[Found]) -> tuple[Found, ...]:
    """Each value once for each module and state; one that says less than another is left out."""
    said: dict[tuple[Seen, str], dict[tuple[str, str], Found]] = {}
    for one in found:
        said.setdefault((one.field, one.value), {}).setdefault((one.module, one.status), one)
    return tuple(one for alike in said.values() for one in alike.values() if not _says_less(one, alike))


def _says_less(one: Found, alike: Collection[tuple[str, str]]) -> bool:
    """Whether another reading of the value says the same of it, and more."""
    own = (one.module, one.status)
    return any(
        other != own and all(mine in ("", theirs) for mine, theirs in zip(own, other, strict=True))
        for other in alike
    )
