"""Which years there can be; model years as inclusive ranges with holes: written, read and compressed."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date

from kb.errors import BadInput

FIRST_YEAR = 1886
"""Of the first motor car that was patented."""
_YEARS_AHEAD = 10
Ranges = tuple[tuple[int, int], ...]
UNKNOWN_YEAR, LATEST_YEAR = 9999, 2100
_TO = re.compile(r"\s*(?:-|\u2013|\bto\b)\s*")
_PART = re.compile(r"(\d{4})(?:-(\d{4}))?")


def newest_model_year(this_year: int) -> int:
    """The newest model year that a vehicle may have: the next one's are sold already."""
    return this_year + 1


def check_year(year: int, this_year: int) -> int:
    """The year, or BadInput when it lies outside 1886 to the next year."""
    newest = newest_model_year(this_year)
    if FIRST_YEAR <= year <= newest:
        return year
    message = f"Model year {year} is not between {FIRST_YEAR} and {newest}. Check the year."
    raise BadInput(message, fields={"year": message})


def check_day(day: date, this_year: int, field: str, *, ahead: bool = False) -> date:
    """The day, or BadInput when its year lies outside 1886 to the next year.

    `ahead`: it lies ahead by nature (the last day of a subscription or training), and may for ten years.
    """
    newest = this_year + _YEARS_AHEAD if ahead else newest_model_year(this_year)
    if FIRST_YEAR <= day.year <= newest:
        return day
    message = f"{day.isoformat()} is not in the years {FIRST_YEAR} to {newest}. Check the year."
    raise BadInput(message, fields={field: message})


def year_of_two_figures(figures: str) -> int:
    """The model year that "17" or "65" means: 1960 to 2059."""
    return (1900 if int(figures) >= 60 else 2000) + int(figures)


def ranges_of(years: Iterable[int]) -> Ranges:
    """The fewest ranges that hold exactly these years; 9999 means not known and is left out."""
    ranges: list[tuple[int, int]] = []
    for year in sorted(set(years) - {UNKNOWN_YEAR}):
        if ranges and ranges[-1][1] == year - 1:
            ranges[-1] = (ranges[-1][0], year)
        else:
            ranges.append((year, year))
    return tuple(ranges)


def known_ranges(ranges: Ranges) -> Ranges:
    """The ranges of years that are known; empty asks for no year."""
    return tuple(one for one in ranges if UNKNOWN_YEAR not in one)


def known_year(year: int | None) -> int | None:
    """The model year, or None where it is not known or said to be unknown (9999)."""
    return None if year in (None, UNKNOWN_YEAR) else year


def parse_years(text: str, field: str = "years") -> Ranges:
    """Read "2016-2017, 2019" as ranges; BadInput names the part of the field that is no year."""
    years: set[int] = set()
    for part in filter(None, re.split(r"[\s,;]+", _TO.sub("-", text))):
        found = _PART.fullmatch(part)
        first, last = (int(found[1]), int(found[2] or found[1])) if found else (1, 0)
        if first > last or ((first < FIRST_YEAR or last > LATEST_YEAR) and part != str(UNKNOWN_YEAR)):
            message = f"“{part}” is no model year. Write years as 2016-2017, 2019."
            raise BadInput(message, fields={field: message})
        years.update(range(first, last + 1))
    return ranges_of(years)


def format_years(ranges: Ranges) -> str:
    """Write ranges as "2016-2017, 2019", the form that parse_years reads."""
    return ", ".join(str(a) if a == b else f"{a}-{b}" for a, b in ranges)
