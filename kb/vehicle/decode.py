"""Make, model, model year and engine from a VIN, offline."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

import ultravin

from kb.nouns.model_years import FIRST_YEAR, newest_model_year
from kb.nouns.vehicles import Vehicle
from kb.vehicle.makes import usual_make
from kb.vehicle.vin import VIN_LENGTH, model_year, normalise

_FIELDS = ("make", "model", "year", "engine")


@dataclass(frozen=True, slots=True)
class VinDecoding:
    """What a VIN says of its vehicle, and which of make, model, year and engine it filled."""

    vehicle: Vehicle
    filled: tuple[str, ...] = ()


def decode(vin: str, this_year: int, year: int | None = None) -> VinDecoding:
    """Decode a VIN; a strange one gives whatever can be said, never an error.

    A model year that is known already (`year`) is passed on, since position 10 repeats every 30 years.
    Where the decoder has no answer the year comes from position 10 alone.
    """
    text = normalise(vin)
    said = _attributes(text, this_year, year)
    vehicle = Vehicle(
        make=usual_make(_text(said, "Make")),
        model=_text(said, "Model"),
        year=year or _year(said, this_year) or model_year(text, this_year),
        engine=_engine(said),
        vin=text,
    )
    return VinDecoding(vehicle, tuple(name for name in _FIELDS if getattr(vehicle, name)))


def _attributes(text: str, this_year: int, year: int | None) -> Mapping[str, Any]:
    if len(text) != VIN_LENGTH or not text.isascii():
        return {}
    try:
        found = ultravin.decode(text, year=year, now=datetime(this_year, 12, 31, tzinfo=UTC))
    except (ValueError, TypeError, OverflowError):
        return {}
    attributes = found.get("attributes")
    return attributes if isinstance(attributes, dict) else {}


def _text(said: Mapping[str, Any], name: str) -> str:
    value = said.get(name, "")
    return value.strip() if isinstance(value, str) else ""


def _year(said: Mapping[str, Any], this_year: int) -> int | None:
    year, newest = _text(said, "Model Year"), newest_model_year(this_year)
    return int(year) if year.isdecimal() and FIRST_YEAR <= int(year) <= newest else None


def _engine(said: Mapping[str, Any]) -> str:
    """Displacement and cylinders as notes write them: "2.5L 4-cyl", "3.5L V6"."""
    try:
        liters = f"{float(_text(said, 'Displacement (L)')):.1f}L"
    except ValueError:
        liters = ""
    count = _text(said, "Engine Number of Cylinders")
    if count and _text(said, "Engine Configuration").startswith("V"):
        return f"{liters} V{count}".strip()
    return f"{liters} {count}-cyl".strip() if count else liters
