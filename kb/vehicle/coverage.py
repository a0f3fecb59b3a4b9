"""Whether a note is for a vehicle.

Case, spaces and hyphens are folded. A note without coverage is `cannot_tell`. Two functions, because a
recorded vehicle that lacks a field the note needs is not known to fit, while a query that leaves a field out
simply does not ask.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from kb.nouns.vehicles import Applies, Coverage, CoverageLine, Vehicle
from kb.vehicle.engines import compare_engines
from kb.vehicle.years import UNKNOWN_YEAR


@dataclass(frozen=True, slots=True)
class CoverageReading:
    """The answer, and for `cannot_tell` the fields of the vehicle that are missing."""

    applies: Applies
    missing: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """The answer in the words of the screen: "can't tell: engine not entered"."""
        if self.applies is Applies.YES:
            return "applies"
        if self.applies is Applies.NO:
            return "does not apply"
        if not self.missing:
            return "can't tell: the note does not say which vehicles it is for"
        return f"can't tell: {' and '.join(self.missing)} not entered"


def fold(text: str) -> str:
    """Text for comparing: no case, spaces or hyphens ("T-5", "t 5" and "T5" are one)."""
    return re.sub(r"[\s\-\u2010-\u2015_]", "", text.casefold())


def applies_to_recorded(coverage: Coverage, vehicle: Vehicle) -> CoverageReading:
    """For a vehicle on record: a field that the note needs and nobody entered is `cannot_tell`.

    The best line decides; of several that cannot tell, the one with the fewest fields missing.
    """
    if not coverage:
        return CoverageReading(Applies.CANNOT_TELL)
    best = CoverageReading(Applies.NO)
    for line in coverage:
        reading = _read_line(line, vehicle)
        if reading.applies is Applies.YES:
            return reading
        if reading.applies is Applies.CANNOT_TELL and (
            best.applies is Applies.NO or len(reading.missing) < len(best.missing)
        ):
            best = reading
    return best


def applies_to_query(coverage: Coverage, vehicle: Vehicle) -> CoverageReading:
    """For the vehicle of a query: a field that the query leaves out does not count against the note."""
    reading = applies_to_recorded(coverage, vehicle)
    if coverage and reading.applies is Applies.CANNOT_TELL:
        return CoverageReading(Applies.YES)
    return reading


def _read_line(line: CoverageLine, vehicle: Vehicle) -> CoverageReading:
    missing: list[str] = []
    for name, test in _TESTS:
        answer = test(line, vehicle)
        if answer is Applies.NO:
            return CoverageReading(Applies.NO)
        if answer is Applies.CANNOT_TELL:
            missing.append(name)
    return CoverageReading(Applies.CANNOT_TELL if missing else Applies.YES, tuple(missing))


def _said(asked: str, known: str) -> Applies:
    if not asked.strip():
        return Applies.YES
    if not known.strip():
        return Applies.CANNOT_TELL
    return Applies.YES if fold(asked) == fold(known) else Applies.NO


def _make(line: CoverageLine, vehicle: Vehicle) -> Applies:
    return _said(line.make, vehicle.make)


def _model(line: CoverageLine, vehicle: Vehicle) -> Applies:
    """Models are compared without the make in front: "Norvane 3", "NORVANE3" and "3" of a Norvane are one."""
    if _said(line.model, vehicle.model) is not Applies.NO:
        return _said(line.model, vehicle.model)
    make = fold(line.make or vehicle.make)
    asked, known = (fold(model).removeprefix(make) for model in (line.model, vehicle.model))
    return Applies.YES if asked and asked == known else Applies.NO


def _year(line: CoverageLine, vehicle: Vehicle) -> Applies:
    ranges = [r for r in line.years if UNKNOWN_YEAR not in r]
    if not ranges:
        return Applies.YES
    if vehicle.year in (None, UNKNOWN_YEAR):
        return Applies.CANNOT_TELL
    year = vehicle.year or 0
    return Applies.YES if any(a <= year <= b for a, b in ranges) else Applies.NO


def _engine(line: CoverageLine, vehicle: Vehicle) -> Applies:
    if not line.engine.strip():
        return Applies.YES
    return compare_engines(line.engine, vehicle.engine) if vehicle.engine.strip() else Applies.CANNOT_TELL


def _built(line: CoverageLine, vehicle: Vehicle) -> Applies:
    if line.built_from is None and line.built_to is None:
        return Applies.YES
    if vehicle.built_on is None:
        return Applies.CANNOT_TELL
    early = line.built_from is not None and vehicle.built_on < line.built_from
    late = line.built_to is not None and vehicle.built_on > line.built_to
    return Applies.NO if early or late else Applies.YES


def _vin(line: CoverageLine, vehicle: Vehicle) -> Applies:
    """A star in the prefix stands for any one character; the last eight of a VIN say nothing of its start."""
    prefix, vin = fold(line.vin_prefix), fold(vehicle.vin)
    if prefix and len(vin) <= 8:
        return Applies.CANNOT_TELL
    if any(p not in ("*", v) for p, v in zip(prefix, vin, strict=False)):
        return Applies.NO
    return Applies.CANNOT_TELL if len(vin) < len(prefix) else Applies.YES


_TESTS: tuple[tuple[str, Callable[[CoverageLine, Vehicle], Applies]], ...] = (
    ("make", _make),
    ("model", _model),
    ("year", _year),
    ("engine", _engine),
    ("build date", _built),
    ("VIN", _vin),
)
