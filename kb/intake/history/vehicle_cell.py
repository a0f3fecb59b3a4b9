"""A vehicle that stands in one cell: "2017 Tarn Vell 2.0T", "17 TARN VELL", "Tarn Vell 2017 AWD"."""

from __future__ import annotations

import re
from collections.abc import Mapping

from kb.nouns.model_years import year_of_two_figures
from kb.vehicle.families import fold
from kb.vehicle.makes import known_makes

_VIN = re.compile(r"\b(?:vin[:#\s]*)?((?=[A-Z]*[0-9])[A-HJ-NPR-Z0-9]{17})\b", re.IGNORECASE)
_YEAR = re.compile(r"\d{4}")
_SHORT_YEAR = re.compile(r"(?:MY\s*|['\u2018\u2019])?(\d{2})", re.IGNORECASE)
_ENGINE = re.compile(
    r"\d\.\d\s*(?:[ltdh]|tdi|td|lt|liter|ltr)?|[vihlw]-?(?:[2-6]|8|10|12)|\d{1,2}-?cyl\w*|electric|ev|hybrid|phev|diesel",
    re.IGNORECASE,
)
_OF_ENGINE = re.compile(
    rf"{_ENGINE.pattern}|[td]|l|liter|ltr|turbo|twin-?turbo|turbocharged|supercharged|gas|flex|plug-?in|gdi|dohc|sohc|\d{{1,2}}v",
    re.IGNORECASE,
)
_DRIVE = re.compile(
    r"[afr4]wd|[24]wd|4x[24]|[2-5]-?dr|[2-5]d|sedan|coupe|hatchback|wagon|suv|auto|automatic|manual|a/t|m/t|cvt",
    re.IGNORECASE,
)
OF_A_VEHICLE = ("vin", "year", "make", "model", "engine")
_SHOUTED = 4
"""A word of so many capitals is shouted; fewer are initials."""


def with_vehicle(cells: Mapping[str, str]) -> dict[str, str]:
    """The cells of a row with what its vehicle cell says, where no cell of its own says it."""
    told = vehicle_of(cells.get("vehicle", ""))
    return {**cells, **{name: said for name, said in told.items() if said and not cells.get(name)}}


def vehicle_of(text: str) -> dict[str, str]:
    """VIN, year, make, model and engine as far as the text tells them, as they would stand in cells.

    The year is the first or last word; of the words behind it the first is the make (two where they are known
    to be one), up to the engine the model. Words of the drive and body are left out.
    """
    vin = _VIN.search(text)
    words = re.sub(r"[(),;/|]|\s-\s", " ", text.replace(vin[0], " ") if vin else text).split()
    year, words = _year(words)
    at = next((n for n, word in enumerate(words) if n and _ENGINE.fullmatch(word)), len(words))
    engine = [word for word in words[at:] if _OF_ENGINE.fullmatch(word)]
    more = [word for word in words[at:] if word not in engine]
    names = [word for word in (*words[:at], *more) if not _DRIVE.fullmatch(word)]
    if text.isupper():
        names = [word.capitalize() if word.isalpha() and len(word) >= _SHOUTED else word for word in names]
    make = _make(names)
    told = (vin[1] if vin else "", year, " ".join(names[:make]), " ".join(names[make:]), " ".join(engine))
    return dict(zip(OF_A_VEHICLE, told, strict=True))


def _year(words: list[str]) -> tuple[str, list[str]]:
    """The model year, and the words without it."""
    if not words:
        return "", words
    for at in (0, len(words) - 1):
        if _YEAR.fullmatch(words[at]):
            return words[at], [*words[:at], *words[at + 1 :]]
    short = _SHORT_YEAR.fullmatch(words[0])
    if short is None:
        return "", words
    return str(year_of_two_figures(short[1])), words[1:]


def _make(names: list[str]) -> int:
    """How many of the names are the make."""
    if len(names) == 1:
        return int(fold(names[0]) in known_makes().printed)
    return 2 if fold(" ".join(names[:2])) in known_makes().printed else min(1, len(names))
