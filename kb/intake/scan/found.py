"""What is read of a label, a screen or a scan report: one value and the words that it was read from."""

from __future__ import annotations

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
