"""What a scan tool, a label or a meter shows: one value of a kind, of a module or of the whole vehicle."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from kb.nouns.vehicles import CalibrationId, CalibrationReading, CalibrationSource, fold_id


class ReadKind(StrEnum):
    """What a value is.

    `codes_scanned` is the scan itself (a word of CodesScanned), `not_readable` the reason why a module gave
    nothing, `readiness` the state of the monitor that `status` names.
    """

    CALIBRATION_ID = "calibration_id"
    CVN = "cvn"
    HARDWARE_NUMBER = "hardware_number"
    SOFTWARE_NUMBER = "software_number"
    NOT_READABLE = "not_readable"
    CODES_SCANNED = "codes_scanned"
    CODE = "code"
    VOLTAGE = "voltage"
    READINESS = "readiness"
    ODOMETER = "odometer"


@dataclass(frozen=True, slots=True)
class ReadValue:
    """One value; `place` is which of several IDs of a module it is, and a CVN is of the ID of its place.

    `status` is a code's, or the name of a readiness monitor. Volts are figures without their unit.
    """

    kind: ReadKind
    value: str
    module: str = ""
    status: str = ""
    place: int = 1
    source: CalibrationSource = CalibrationSource.TYPED
    confirmed: bool = False


def values_of(*readings: CalibrationReading) -> tuple[ReadValue, ...]:
    """The numbers of modules, value by value; what is empty is none. Several readings of one module are the
    IDs that it holds, in this order.
    """
    places: Counter[str] = Counter()
    found: list[ReadValue] = []
    for reading in readings:
        module = reading.module.strip().upper()
        found += _values(reading, module, places[module])
        places[module] += len(reading.ids)
    return tuple(found)


def _values(reading: CalibrationReading, module: str, others: int) -> Iterator[ReadValue]:
    numbers = [
        (ReadKind.HARDWARE_NUMBER, reading.hardware_number, 1),
        (ReadKind.SOFTWARE_NUMBER, reading.software_number, 1),
    ]
    for place, one in enumerate(reading.ids, start=others + 1):
        numbers += [
            (ReadKind.CALIBRATION_ID, one.calibration_id, place),
            (ReadKind.CVN, one.cvn, place),
        ]
    for kind, value, place in numbers:
        if value.strip():
            yield ReadValue(kind, value.strip(), module, "", place, reading.source, reading.confirmed)


def of_modules(values: Iterable[ReadValue]) -> tuple[CalibrationReading, ...]:
    """The numbers among values that were read without a place: of each module its calibration IDs, the first
    CVN with the first ID and so on. A number of a module of which no ID was read is left out.
    """
    of: dict[str, list[ReadValue]] = {}
    for one in values:
        of.setdefault(fold_id(one.module), []).append(one)
    return tuple(reading for group in of.values() for reading in _of_module(group))


def _of_module(group: Sequence[ReadValue]) -> Iterator[CalibrationReading]:
    by = {kind: [one for one in group if one.kind is kind] for kind in ReadKind}
    shown = by[ReadKind.CALIBRATION_ID]
    cvns = [*(one.value for one in by[ReadKind.CVN]), *[""] * len(shown)]
    ids = [CalibrationId(one.value, cvn) for one, cvn in zip(shown, cvns, strict=False)]
    if ids:
        yield CalibrationReading(
            group[0].module,
            ids[0].calibration_id,
            shown[0].source,
            cvn=ids[0].cvn,
            hardware_number="".join(one.value for one in by[ReadKind.HARDWARE_NUMBER][:1]),
            software_number="".join(one.value for one in by[ReadKind.SOFTWARE_NUMBER][:1]),
            more=tuple(ids[1:]),
        )
