"""Whether a note is for a vehicle.

Case, spaces and hyphens are folded, and a make is compared by its usual name. A note without coverage is
`cannot_tell`, and so is one for another model of the vehicle's family. Two functions, because a recorded
vehicle that lacks a field the note needs is not known to fit, while a query that leaves a field out simply
does not ask.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from kb.nouns.model_years import known_ranges, known_year
from kb.nouns.vehicles import Applies, Coverage, CoverageLine, Vehicle
from kb.vehicle.engines import compare_engines
from kb.vehicle.families import Families, bare_model, fold
from kb.vehicle.makes import folded_make


@dataclass(frozen=True, slots=True)
class CoverageReading:
    """The answer, and for `cannot_tell` why: the fields of the vehicle that are missing, or its other name.

    `other_model` holds the note's model and the vehicle's, two names of one family.
    """

    applies: Applies
    missing: tuple[str, ...] = ()
    other_model: tuple[str, str] | None = None

    @property
    def sentence(self) -> str:
        """The answer in the words of the screen: "can't tell: engine not entered"."""
        if self.applies is Applies.YES:
            return "applies"
        if self.applies is Applies.NO:
            return "does not apply"
        why = f"{' and '.join(self.missing)} not entered" if self.missing else ""
        if self.other_model:
            theirs, ours = self.other_model
            why = f"the note is for {theirs}, this is {ours}{f'; {why}' if why else ''}"
        return f"can't tell: {why or 'the note does not say which vehicles it is for'}"


def applies_to_recorded(coverage: Coverage, vehicle: Vehicle, families: Families) -> CoverageReading:
    """For a vehicle on record: a field that the note needs and nobody entered is `cannot_tell`.

    The best line decides; of several that cannot tell, one for this very model, then the one with the fewest
    fields missing.
    """
    if not coverage:
        return CoverageReading(Applies.CANNOT_TELL)
    best = CoverageReading(Applies.NO)
    for line in coverage:
        reading = _read_line(line, vehicle, families)
        if reading.applies is Applies.YES:
            return reading
        if reading.applies is Applies.CANNOT_TELL and (
            best.applies is Applies.NO or _how_unsure(reading) < _how_unsure(best)
        ):
            best = reading
    return best


def applies_to_query(coverage: Coverage, vehicle: Vehicle, families: Families) -> CoverageReading:
    """For the vehicle of a query: a field that the query leaves out does not count against the note."""
    reading = applies_to_recorded(coverage, vehicle, families)
    if coverage and reading.applies is Applies.CANNOT_TELL:
        other = reading.other_model
        return CoverageReading(Applies.CANNOT_TELL if other else Applies.YES, other_model=other)
    return reading


def _how_unsure(reading: CoverageReading) -> tuple[bool, int]:
    return reading.other_model is not None, len(reading.missing)


def model_stands(line: CoverageLine, vehicle: Vehicle, families: Families) -> Applies:
    """Whether a line is for the vehicle's model: YES by its name, `cannot_tell` for another of its family.

    Both name a model. Names are compared without the make in front.
    """
    make = folded_make(line.make or vehicle.make)
    if bare_model(make, line.model) == bare_model(make, vehicle.model):
        return Applies.YES
    related = families.related(folded_make(vehicle.make), line.model, vehicle.model)
    return Applies.CANNOT_TELL if related else Applies.NO


def _read_line(line: CoverageLine, vehicle: Vehicle, families: Families) -> CoverageReading:
    missing: list[str] = []
    other: tuple[str, str] | None = None
    for name, test in _TESTS:
        answer = test(line, vehicle)
        if answer is Applies.NO:
            return CoverageReading(Applies.NO)
        if answer is Applies.CANNOT_TELL:
            missing.append(name)
    if line.model.strip() and vehicle.model.strip():
        answer = model_stands(line, vehicle, families)
        if answer is Applies.NO:
            return CoverageReading(Applies.NO)
        other = (line.model, vehicle.model) if answer is Applies.CANNOT_TELL else None
    return CoverageReading(Applies.CANNOT_TELL if missing or other else Applies.YES, tuple(missing), other)


def _make(line: CoverageLine, vehicle: Vehicle) -> Applies:
    if not line.make.strip():
        return Applies.YES
    if not vehicle.make.strip():
        return Applies.CANNOT_TELL
    return Applies.YES if folded_make(line.make) == folded_make(vehicle.make) else Applies.NO


def _model(line: CoverageLine, vehicle: Vehicle) -> Applies:
    """Only whether the vehicle's model is known; its name is read last, by `model_stands`."""
    return Applies.CANNOT_TELL if line.model.strip() and not vehicle.model.strip() else Applies.YES


def _year(line: CoverageLine, vehicle: Vehicle) -> Applies:
    ranges = known_ranges(line.years)
    if not ranges:
        return Applies.YES
    year = known_year(vehicle.year)
    if year is None:
        return Applies.CANNOT_TELL
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


def in_short(coverage: Coverage) -> str:
    """Whose note it is, in few words: "Norvane Alto", "Norvane, 3 models", "4 makes"; or empty."""
    makes = dict.fromkeys(line.make for line in coverage if line.make)
    models = dict.fromkeys(line.model for line in coverage if line.model)
    if len(makes) != 1:
        return f"{len(makes)} makes" if makes else ""
    make = next(iter(makes))
    return f"{make}, {len(models)} models" if len(models) > 1 else " ".join(dict.fromkeys([make, *models]))
