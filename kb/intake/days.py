"""Days as people and spreadsheets write them, put into the form that every reader knows: 2026-03-31.

Read are figures in the order that the file has, names of months ("31-Mar-2025", "Mar 31, 2025"), 2025/03/31,
20250331, a time of the day behind any of them (which is dropped), and the serial numbers of spreadsheets
(45747 is 2025-03-31: days since 1899-12-30, as Microsoft's DATEVALUE counts them from 1900-03-01 on).
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from datetime import date, timedelta
from functools import lru_cache

from kb.intake.text.days import days_in
from kb.nouns.imports import DaysWritten

_ISO = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_PARTED = re.compile(
    r"(?<![\w/])(?<![0-9][.\-])([0-9]{1,2})([/.\- ])([0-9]{1,2})\2([0-9]{4}|[0-9]{2})(?![\w/]|[.\-][0-9])"
)
_TIME = re.compile(
    r"(?<=[0-9])(?:T|,?\s+(?:at\s+|@\s*)?)[0-9]{1,2}(?:[:.][0-9]{2}){1,2}(?:\.[0-9]+)?\s*(?:[ap]\.?m\b\.?)?"
    r"\s*(?:Z\b|UTC\b|[+\-][0-9]{2}:?[0-9]{2})?|(?<=[0-9]),?\s+[0-9]{1,2}\s*[ap]m\b",
    re.IGNORECASE,
)
_RUN_TOGETHER = re.compile(r"((?:19|20)[0-9]{2})([01][0-9])([0-3][0-9])")
_SERIAL = re.compile(r"([2-7][0-9]{4})(?:\.[0-9]+)?")
_SERIAL_ONE = date(1899, 12, 30)
_WEEKDAY = re.compile(
    r"(?:(?:mon|tues?|wed(?:nes)?|thu(?:rs)?|fri|sat(?:ur)?|sun)(?:day)?)\.?,?\s+", re.IGNORECASE
)
_MONTH_NAME = r"([A-Za-z]{3,9})\.?"
_NAME_BETWEEN = re.compile(rf"\b([0-9]{{1,4}})[/\-. ]+{_MONTH_NAME}[/\-., ]+([0-9]{{1,4}})\b")
_NAME_FIRST = re.compile(rf"\b{_MONTH_NAME}[/\-]([0-9]{{1,2}})[/\-, ]+([0-9]{{2,4}})\b")
_LAST_MONTH = 12
_YEAR_DIGITS = 4
_MOST_LETTERS = 60
"""A longer text is prose, whatever days stand in it."""


def iso_days(cells: Mapping[str, str], columns: Collection[str], written: DaysWritten) -> dict[str, str]:
    """The cells with each day in `columns` as 2026-03-31; two digits of a year are of this century.

    Words beside a day stay ("yes - 3/31/26" is "yes - 2026-03-31"). What is no day in that order stays as it
    is, for the reader to refuse.
    """
    return {name: iso_day(text, written) if name in columns else text for name, text in cells.items()}


@lru_cache(maxsize=1 << 14)
def iso_day(text: str, written: DaysWritten) -> str:
    """One cell of iso_days."""
    if _ISO.fullmatch(text) or not text or len(text) > _MOST_LETTERS:
        return text
    serial = _SERIAL.fullmatch(text)
    if serial:
        return (_SERIAL_ONE + timedelta(days=int(serial[1]))).isoformat()
    together = _RUN_TOGETHER.fullmatch(text)
    if together:
        return _calendar(*map(int, together.groups())) or text
    plain = _TIME.sub("", _WEEKDAY.sub("", text, count=1))
    parted = _PARTED.search(plain)
    if parted:
        day = _in_order(parted, written)
        return f"{plain[: parted.start()]}{day}{plain[parted.end() :]}" if day else text
    plain = _NAME_FIRST.sub(r"\1 \2 \3", _NAME_BETWEEN.sub(_name_first, plain))
    found = [one for one in days_in(plain) if one.is_one_day]
    if len(found) != 1:
        return plain if _ISO.fullmatch(plain) else text
    return f"{plain[: found[0].begins]}{found[0].first.isoformat()}{plain[found[0].ends :]}".strip()


def order_of(days: Iterable[str]) -> DaysWritten:
    """The order in which most days like these must be written; year first where they do not tell."""
    found = [parts for one in days if (parts := _PARTED.search(_TIME.sub("", one[:_MOST_LETTERS])))]
    if found and all(parts[2] == "." for parts in found):
        return DaysWritten.DAY_FIRST
    both = [(int(parts[1]), int(parts[3])) for parts in found]
    month_first = sum(first <= _LAST_MONTH < second for first, second in both)
    day_first = sum(second <= _LAST_MONTH < first for first, second in both)
    if month_first == day_first:
        return DaysWritten.YEAR_FIRST
    return DaysWritten.MONTH_FIRST if month_first > day_first else DaysWritten.DAY_FIRST


def _in_order(parts: re.Match[str], written: DaysWritten) -> str:
    """The day, or nothing where the order or the calendar says that it is none."""
    first, sign, second, year = parts.groups()
    if written is DaysWritten.YEAR_FIRST or (written is DaysWritten.MONTH_FIRST and sign == "."):
        return ""  # nobody writes 3.31.2026: in such a file a dotted day stands the other way round
    month, day = (first, second) if written is DaysWritten.MONTH_FIRST else (second, first)
    return _calendar(int(year) if len(year) == _YEAR_DIGITS else 2000 + int(year), int(month), int(day))


def _calendar(year: int, month: int, day: int) -> str:
    try:
        return date(year, month, day).isoformat()
    except ValueError:
        return ""


def _name_first(parts: re.Match[str]) -> str:
    """Write "31-Mar-25" and "2025-Mar-31" as "Mar 31 25" and "Mar 31 2025"."""
    first, name, last = parts.groups()
    year, day = (first, last) if len(first) == _YEAR_DIGITS else (last, first)
    return f"{name} {day} {year}"
