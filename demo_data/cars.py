"""The vehicles of the invented town, with the calibrations that they carry as time goes on."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date
from random import Random
from zlib import crc32

from demo_data import makes
from demo_data.calendar import moved
from kb.nouns.notes import NoteDraft
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, CoverageLine, Vehicle

OUTSIDE_COVERAGE = 0.05
ALREADY_NEWEST = 0.04
NOT_READ = 0.05
COMES_AGAIN = 0.22
NOT_WRITTEN_DOWN = 0.04
_SOURCES = (
    CalibrationSource.READ,
    CalibrationSource.PHOTO,
    CalibrationSource.TYPED,
    CalibrationSource.LABEL,
)


@dataclass(slots=True)
class Car:
    """A vehicle and what changes about it: calibrations by module and the families it came in with.

    `bought_on` is a day of the story as it is told; the vehicle's build date belongs to its drawing.
    """

    vehicle: Vehicle
    bought_on: date
    miles_per_day: float
    calibrations: dict[str, str] = field(default_factory=dict)
    families: set[str] = field(default_factory=set)

    def odometer(self, day: date) -> int:
        """Miles on a day, to 10."""
        return max(10, 10 * round((day - self.bought_on).days * self.miles_per_day / 10))


@dataclass(slots=True)
class Garage:
    """Every vehicle seen so far. Draws from one random source, so the order of calls matters."""

    today: date
    rng: Random
    cars: dict[tuple[str, str], list[Car]] = field(default_factory=dict)
    serial: int = 100_000

    def car_for(self, model: makes.Model, family: str, note: NoteDraft | None, day: date) -> Car:
        """A vehicle with this complaint: one that was here with another, or a new one."""
        known = self.cars.setdefault((model.make, model.name), [])
        if known and self.rng.random() < COMES_AGAIN:
            car = self.rng.choice(known)
            if family not in car.families:
                car.families.add(family)
                return car
        car = self._new_car(model, note, day)
        car.families.add(family)
        known.append(car)
        return car

    def sure_car(self, model: makes.Model, note: NoteDraft, day: date) -> Car:
        """A new vehicle that the note is for, with an old ID in every module of the note."""
        car = self._new_car(model, note, day)
        while not covers(note, car.vehicle):
            car = self._new_car(model, note, day)
        car.calibrations = {step.module: step.old_ids[-1] for step in note.steps}
        self.cars.setdefault((model.make, model.name), []).append(car)
        return car

    def _new_car(self, model: makes.Model, note: NoteDraft | None, day: date) -> Car:
        self.serial += self.rng.randrange(1, 60)
        latest = min(model.last_year, (day - moved(self.today)).year - 1)
        line = note.coverage[0] if note and self.rng.random() >= OUTSIDE_COVERAGE else None
        years = _covered_years(line) if line else range(model.first_year, model.last_year + 1)
        year = self.rng.choice([one for one in years if one <= latest] or [latest])
        engine = self.rng.choice([line.engine] if line and line.engine else model.engines)
        built_on = _build_day(line, year, self.rng)
        vin = makes.make_vin(model, engine, year, self.serial)
        vehicle = Vehicle(model.make, model.name, year, engine, built_on, vin)
        pace = self.rng.uniform(34, 55) if self.rng.random() < 0.03 else self.rng.uniform(16, 33)
        return Car(vehicle, built_on + moved(self.today), pace)

    def carry(self, car: Car, note: NoteDraft, day: date) -> None:
        """Give the car a calibration for each module of the note, where it has none yet."""
        for step in note.steps:
            if step.module not in car.calibrations:
                newest = self.newest(car, step.module, day)
                old = self.rng.choices(step.old_ids, range(1, len(step.old_ids) + 1))[0]
                car.calibrations[step.module] = newest if self.rng.random() < ALREADY_NEWEST else old

    def newest(self, car: Car, module: str, day: date) -> str:
        """The newest calibration out for the module of this car on that day."""
        return makes.lineage_of(car.vehicle, module).newest((self.today - day).days)

    def readings(self, car: Car) -> tuple[CalibrationReading, ...]:
        """What the shop reads of the modules whose calibration matters; some modules are not read."""
        return tuple(
            reading(module, known, self.rng)
            for module, known in car.calibrations.items()
            if self.rng.random() >= NOT_READ
        )

    def as_known(self, car: Car) -> Vehicle:
        """The vehicle as a repair order has it: build date, engine or VIN are left out now and then."""
        known = car.vehicle
        if known.make != "Hespar" and self.rng.random() < 0.5:
            known = replace(known, built_on=None)
        if self.rng.random() < NOT_WRITTEN_DOWN:
            known = replace(known, engine="")
        return replace(known, vin="") if self.rng.random() < NOT_WRITTEN_DOWN else known


def reading(module: str, known: str, rng: Random) -> CalibrationReading:
    source = rng.choices(_SOURCES, (70, 10, 15, 5))[0]
    confirmed = source is not CalibrationSource.TYPED or rng.random() < 0.6
    return CalibrationReading(module, known, source, confirmed, cvn(known), f"HW-{module}-{len(known)}01")


def cvn(calibration: str) -> str:
    """A made-up verification number, always the same for the same calibration."""
    return f"{crc32(calibration.encode()):08X}"


def covers(note: NoteDraft, vehicle: Vehicle) -> bool:
    """Whether a note of the scenario is for the vehicle as it really is."""
    return any(_line_covers(line, vehicle) for line in note.coverage)


def _line_covers(line: CoverageLine, vehicle: Vehicle) -> bool:
    built = vehicle.built_on
    year = vehicle.year
    return (
        (line.make, line.model) == (vehicle.make, vehicle.model)
        and line.engine in ("", vehicle.engine)
        and year is not None
        and any(first <= year <= last for first, last in line.years)
        and (line.built_from is None or (built is not None and built >= line.built_from))
        and (line.built_to is None or (built is not None and built <= line.built_to))
    )


def _covered_years(line: CoverageLine) -> list[int]:
    return [year for first, last in line.years for year in range(first, last + 1)]


def _build_day(line: CoverageLine | None, year: int, rng: Random) -> date:
    day = makes.built_on(year, rng)
    if line and line.built_to and day > line.built_to:
        return line.built_to
    if line and line.built_from and day < line.built_from:
        return line.built_from
    return day
