"""The invented makes: models, calibrations by day, and VINs that belong to nobody."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from importlib.resources import files
from random import Random
from typing import Any

from kb.nouns.vehicles import Vehicle

YEAR_CODES = dict(zip(range(2010, 2031), "ABCDEFGHJKLMNPRSTVWXY", strict=True))
_LETTERS = dict(
    zip("ABCDEFGHJKLMNPRSTUVWXYZ", (*range(1, 9), *range(1, 6), 7, 9, *range(2, 10)), strict=True)
)
_VALUES = {**_LETTERS, **{str(digit): digit for digit in range(10)}}
_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)


@dataclass(frozen=True, slots=True)
class Model:
    """A model of an invented make; `vin_prefix` is its first five VIN characters."""

    make: str
    name: str
    engines: tuple[str, ...]
    first_year: int
    last_year: int
    vin_prefix: str
    share: int


@dataclass(frozen=True, slots=True)
class Lineage:
    """The calibrations of one module, oldest first, each with its age in days before today.

    A forked module has one lineage a branch, told apart by the build dates.
    """

    make: str
    model: str
    module: str
    released: tuple[tuple[str, int], ...]
    engine: str = ""
    built_from: date | None = None
    built_to: date | None = None

    def fits(self, engine: str, built_on: date) -> bool:
        return (
            self.engine in ("", engine)
            and (self.built_from is None or built_on >= self.built_from)
            and (self.built_to is None or built_on <= self.built_to)
        )

    def newest(self, days_ago: int) -> str:
        """The newest ID that was out `days_ago` days before today."""
        return [known for known, age in self.released if age >= days_ago][-1]


def read_toml(name: str) -> dict[str, Any]:
    """One of the scenario's data files as plain values."""
    return tomllib.loads(files("demo_data").joinpath("told", name).read_text("utf-8"))


@cache
def models() -> tuple[Model, ...]:
    return tuple(_model(row) for row in read_toml("makes.toml")["model"])


def _model(row: Mapping[str, Any]) -> Model:
    first, last = row["years"]
    engines = tuple(row["engines"])
    return Model(row["make"], row["model"], engines, first, last, row["vin_prefix"], row["share"])


@cache
def lineages() -> tuple[Lineage, ...]:
    return tuple(
        Lineage(
            row["make"],
            row["model"],
            row["module"],
            tuple(row["released"].items()),
            row.get("engine", ""),
            row.get("built_from"),
            row.get("built_to"),
        )
        for row in read_toml("makes.toml")["lineage"]
    )


def lineage_of(vehicle: Vehicle, module: str) -> Lineage:
    """The lineage that the module of a vehicle has; the vehicle's build date must be known."""
    if vehicle.built_on is None:
        raise ValueError("a vehicle of the scenario has a build date")
    own = (vehicle.make, vehicle.model, module)
    return next(
        line
        for line in lineages()
        if (line.make, line.model, line.module) == own and line.fits(vehicle.engine, vehicle.built_on)
    )


def check_digit(vin: str) -> str:
    """The check digit of 49 CFR 565.15: weighted sum modulo 11, 10 written X; position 9 is not looked at."""
    remainder = sum(_VALUES[letter] * weight for letter, weight in zip(vin, _WEIGHTS, strict=True)) % 11
    return "X" if remainder == 10 else str(remainder)


def make_vin(model: Model, engine: str, year: int, serial: int) -> str:
    """A VIN of the invented make: prefix, body, engine letter, check digit, year, plant, serial."""
    engine_letter = "KLM"[model.engines.index(engine)]
    draft = f"{model.vin_prefix}1{engine_letter}80{YEAR_CODES[year]}T{serial:06d}"
    return f"{draft[:8]}{check_digit(draft)}{draft[9:]}"


def built_on(year: int, rng: Random) -> date:
    """A build day of a model year, which runs from August to July."""
    return date(year - 1, 8, 1) + timedelta(days=rng.randrange(364))
