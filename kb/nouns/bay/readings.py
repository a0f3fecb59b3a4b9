"""What was read of a vehicle: values taken together in a readout, kept, and struck by name where mistyped.

What counts now is the newest: of a module the last readout that shows a calibration ID, of the codes the last
scan.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from kb.nouns.concerns import CodesScanned, CodeStatus, ReportedCode
from kb.nouns.read_values import ReadKind, ReadValue
from kb.nouns.vehicles import CalibrationId, CalibrationReading, CalibrationSource, Moment, fold_id


@dataclass(frozen=True, slots=True)
class Readout:
    """Values taken together, to be kept. Empty `by`: whoever writes it down."""

    values: tuple[ReadValue, ...]
    taken_at: datetime
    moment: Moment = Moment.UNKNOWN
    event_id: int | None = None
    by: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """One value on file, with the readout that it was taken in. A struck one counts for nothing."""

    id: int
    readout_id: int
    kind: ReadKind
    value: str
    module: str
    status: str
    place: int
    source: CalibrationSource
    confirmed: bool
    taken_at: datetime
    moment: Moment
    by: str
    recorded_at: datetime
    event_id: int | None = None
    struck_at: datetime | None = None
    struck_by: str = ""


@dataclass(frozen=True, slots=True)
class Compared:
    """One module with its IDs before and after, and what they come to in words, such as "ID changed, CVN
    changed"; `proven` where that is so.
    """

    module: str
    before: tuple[CalibrationId, ...]
    after: tuple[CalibrationId, ...]
    words: str
    proven: bool


def by_readout(readings: Iterable[Reading]) -> tuple[tuple[Reading, ...], ...]:
    """The readings, oldest first, as they were taken together."""
    found: dict[int, list[Reading]] = {}
    for one in readings:
        found.setdefault(one.readout_id, []).append(one)
    return tuple(tuple(some) for some in found.values())


def scanned(
    codes: Sequence[ReportedCode], said: CodesScanned, source: CalibrationSource = CalibrationSource.TYPED
) -> tuple[ReadValue, ...]:
    """A scan, value by value: how it was, then each code."""
    return (ReadValue(ReadKind.CODES_SCANNED, said.value, source=source), *codes_seen(codes, source))


def codes_seen(
    codes: Iterable[ReportedCode], source: CalibrationSource = CalibrationSource.TYPED
) -> tuple[ReadValue, ...]:
    """Codes, value by value, without a scan of the whole vehicle."""
    return tuple(
        ReadValue(ReadKind.CODE, one.code, one.module, one.status.value, source=source) for one in codes
    )


def calibrations(readings: Iterable[Reading]) -> tuple[CalibrationReading, ...]:
    """What each readout shows of each module, oldest first. A hardware number stands until another is read,
    since no programming changes it.
    """
    hardware: dict[str, str] = {}
    found: list[CalibrationReading] = []
    for taken in by_readout(one for one in readings if one.struck_at is None):
        for module in dict.fromkeys(fold_id(one.module) for one in taken if one.module):
            mine = [one for one in taken if fold_id(one.module) == module]
            numbers = [one.value for one in mine if one.kind is ReadKind.HARDWARE_NUMBER]
            hardware[module] = numbers[0] if numbers else hardware.get(module, "")
            shown = _calibration(mine, hardware[module])
            found += [shown] if shown else []
    return tuple(found)


def last_scan(readings: Iterable[Reading]) -> tuple[CodesScanned, tuple[ReportedCode, ...]] | None:
    """How the newest scan was, with its codes and those that were seen since without a scan of the whole
    vehicle, as on a photo of one screen; None where no code is on file.
    """
    stands: tuple[CodesScanned, tuple[ReportedCode, ...]] | None = None
    for taken in by_readout(one for one in readings if one.struck_at is None):
        seen = [
            ReportedCode(one.value, one.module, CodeStatus(one.status))
            for one in taken
            if one.kind is ReadKind.CODE
        ]
        scan = [CodesScanned(one.value) for one in taken if one.kind is ReadKind.CODES_SCANNED]
        if scan:
            stands = scan[0], tuple(seen)
        elif seen:
            stands = CodesScanned.STORED, with_seen(stands[1] if stands else (), seen)
    return stands


def with_seen(known: Sequence[ReportedCode], seen: Sequence[ReportedCode]) -> tuple[ReportedCode, ...]:
    """Codes with those seen since: one that says the module, or another state, takes the place of the old."""
    left = [
        old
        for old in known
        if not any(old.code == new.code and old.module in ("", new.module) for new in seen)
    ]
    return tuple(dict.fromkeys((*left, *seen)))


def last_voltages(readings: Iterable[Reading]) -> tuple[Reading, ...]:
    """The voltages of the newest readout that has any."""
    taken = by_readout(one for one in readings if one.kind is ReadKind.VOLTAGE and one.struck_at is None)
    return taken[-1] if taken else ()


def _calibration(mine: Sequence[Reading], hardware: str) -> CalibrationReading | None:
    ids = {one.place: one for one in mine if one.kind is ReadKind.CALIBRATION_ID}
    if not ids:
        return None
    cvns = {one.place: one.value for one in mine if one.kind is ReadKind.CVN}
    software = [one.value for one in mine if one.kind is ReadKind.SOFTWARE_NUMBER]
    first, *others = sorted(ids)
    return CalibrationReading(
        ids[first].module,
        ids[first].value,
        ids[first].source,
        ids[first].confirmed,
        cvns.get(first, ""),
        hardware,
        "".join(software[:1]),
        ids[first].taken_at,
        tuple(CalibrationId(ids[place].value, cvns.get(place, "")) for place in others),
        ids[first].moment,
        ids[first].event_id,
        ids[first].by,
    )
