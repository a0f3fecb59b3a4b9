"""A snapshot of a car: everything that a scan tool read of it at one time, in one piece."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from kb.nouns.bay.readings import scanned
from kb.nouns.concerns import CodesScanned, ReportedCode
from kb.nouns.read_values import ReadKind, ReadValue, values_of
from kb.nouns.vehicles import CalibrationId, CalibrationReading, CalibrationSource, Moment


class Readiness(StrEnum):
    """Whether a monitor has run since the codes were cleared."""

    READY = "ready"
    NOT_READY = "not_ready"
    NOT_SUPPORTED = "not_supported"


@dataclass(frozen=True, slots=True)
class ModuleShown:
    """What one module showed; `not_readable` says why it showed nothing."""

    module: str
    calibrations: tuple[CalibrationId, ...] = ()
    hardware_number: str = ""
    software_number: str = ""
    not_readable: str = ""

    def values(self) -> Iterator[ReadValue]:
        first, *more = self.calibrations or (CalibrationId(""),)
        yield from values_of(
            CalibrationReading(
                self.module,
                first.calibration_id,
                CalibrationSource.READ,
                cvn=first.cvn,
                hardware_number=self.hardware_number,
                software_number=self.software_number,
                more=tuple(more),
            )
        )
        if self.not_readable:
            yield ReadValue(ReadKind.NOT_READABLE, self.not_readable, self.module.strip().upper())


@dataclass(frozen=True, slots=True)
class Snapshot:
    """Codes are None where nobody scanned, empty where none was stored. `readiness` is by monitor, the
    odometer in miles. A time without a zone is the shop's.
    """

    vin: str
    taken_at: datetime
    moment: Moment = Moment.UNKNOWN
    modules: tuple[ModuleShown, ...] = ()
    codes: tuple[ReportedCode, ...] | None = None
    readiness: Mapping[str, Readiness] = field(default_factory=dict)
    voltage: float | None = None
    odometer: int | None = None

    @property
    def values(self) -> tuple[ReadValue, ...]:
        """Everything in it, value by value, as read from the vehicle."""
        return tuple(self._values())

    def _values(self) -> Iterator[ReadValue]:
        read = CalibrationSource.READ
        if self.codes is not None:
            said = CodesScanned.STORED if self.codes else CodesScanned.NONE_STORED
            yield from scanned(self.codes, said, read)
        for module in self.modules:
            yield from module.values()
        for monitor, state in self.readiness.items():
            yield ReadValue(ReadKind.READINESS, state.value, status=monitor, source=read)
        if self.voltage is not None:
            yield ReadValue(ReadKind.VOLTAGE, f"{self.voltage:g}", source=read)
        if self.odometer is not None:
            yield ReadValue(ReadKind.ODOMETER, str(self.odometer), source=read)
