"""Days as a shop's own table writes them, put into the order that every reader knows."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping

from kb.nouns.imports import DaysWritten

_PARTED = re.compile(r"([0-9]{1,2})[/.\-]([0-9]{1,2})[/.\-]([0-9]{4}|[0-9]{2})(?: +0?0:00(?::00)?)?")
_LAST_MONTH = 12


def iso_days(cells: Mapping[str, str], columns: Collection[str], written: DaysWritten) -> dict[str, str]:
    """The cells with the days in `columns` as 2026-03-31; two digits of a year are of this century.

    What is no day in that order stays as it is, for the reader to refuse.
    """
    if written is DaysWritten.YEAR_FIRST:
        return dict(cells)
    return {name: _iso(text, written) if name in columns else text for name, text in cells.items()}


def order_of(days: Iterable[str]) -> DaysWritten:
    """The order in which days like these must be written; year first where they do not tell."""
    found = [parts for parts in map(_PARTED.fullmatch, days) if parts]
    if found and all("." in parts[0] for parts in found):
        return DaysWritten.DAY_FIRST
    firsts, seconds = ([int(parts[n]) for parts in found] for n in (1, 2))
    if max(seconds, default=0) > _LAST_MONTH:
        return DaysWritten.MONTH_FIRST
    return DaysWritten.DAY_FIRST if max(firsts, default=0) > _LAST_MONTH else DaysWritten.YEAR_FIRST


def _iso(text: str, written: DaysWritten) -> str:
    parts = _PARTED.fullmatch(text)
    if parts is None or (written is DaysWritten.MONTH_FIRST and "." in text):
        return text  # nobody writes 3.31.2026: in such a file a dotted day stands the other way round
    first, second, year = parts.groups()
    month, day = (first, second) if written is DaysWritten.MONTH_FIRST else (second, first)
    century = "" if len(year) > len("26") else "20"
    return f"{century}{year}-{month:0>2}-{day:0>2}" if int(month) <= _LAST_MONTH else text
