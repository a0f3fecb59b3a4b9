"""Days printed in a running text: "4/23/2021", "April 23, 2021", "23 APR 2021", "14AUG2020", "2021-04-23".

Figures stand month first, as United States papers print them, unless the first cannot be a month; two figures
of a year are of this century. A month alone ("March 2018") is the whole month.
"""

from __future__ import annotations

import calendar
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from kb.intake.places import overlaps

_MONTHS = {
    name: number
    for names in (calendar.month_name, calendar.month_abbr)
    for number, full in enumerate(names)
    for name in (full.lower(),)
    if number
} | {"sept": 9}
_NAME = rf"(?P<name>{'|'.join(sorted(_MONTHS, key=len, reverse=True))})"
_YEAR = r"(?P<year>(?:19|20)\d\d)"
_SHORT = r"(?P<year>(?:19|20)\d\d|['\u2018\u2019]?\d\d)"
_TH = r"(?:st|nd|rd|th)?"
_FORMS = tuple(
    re.compile(form, re.IGNORECASE)
    for form in (
        rf"(?<![\w/.-]){_YEAR}(?P<sign>[-/.])(?P<month>\d\d?)(?P=sign)(?P<day>\d\d?)(?![\w/-])",
        rf"(?<![\w/.-])(?P<first>\d\d?)(?P<sign>[-/.])(?P<second>\d\d?)(?P=sign){_SHORT}(?![\w/-]|\.\d)",
        rf"\b{_NAME}\.?\s+(?P<day>\d\d?){_TH}\s*,?\s+{_SHORT}(?!\w)",
        rf"(?<!\w)(?P<day>\d\d?){_TH}[\s-]*{_NAME}\.?[\s,-]*{_SHORT}(?!\w)",
        rf"\b{_NAME}\.?\s*(?:of\s+|,\s*)?{_YEAR}(?!\w)",
        rf"(?<![\w/-])(?P<month>0?[1-9]|1[0-2])/{_YEAR}(?![\w/])",
    )
)
_MOST_MONTH = 12


@dataclass(frozen=True, slots=True)
class PrintedDay:
    """The first and the last day that the text from `begins` to `ends` may mean; one day: both alike."""

    first: date
    last: date
    begins: int
    ends: int

    @property
    def is_one_day(self) -> bool:
        return self.first == self.last


def days_in(text: str) -> tuple[PrintedDay, ...]:
    """Every day or month that a text prints, in its order; what no calendar holds is none."""
    found: list[PrintedDay] = []
    for form in _FORMS:
        for match in form.finditer(text):
            if not overlaps(*match.span(), ((one.begins, one.ends) for one in found)):
                found += _read(match)
    return tuple(sorted(found, key=lambda one: one.begins))


def _read(match: re.Match[str]) -> Iterator[PrintedDay]:
    parts = match.groupdict()
    year = int(parts["year"].strip("'\u2018\u2019"))
    year += 2000 if year < 100 else 0
    month, day = _month_and_day(parts)
    try:
        first = date(year, month, day or 1)
    except ValueError:
        return
    last = first if day else first.replace(day=calendar.monthrange(year, month)[1])
    yield PrintedDay(first, last, match.start(), match.end())


def _month_and_day(parts: dict[str, str | None]) -> tuple[int, int]:
    """The month and the day, which is 0 where none is printed."""
    if parts.get("first"):
        first, second = int(parts["first"] or 0), int(parts["second"] or 0)
        by_day = first > _MOST_MONTH or (parts.get("sign") == "." and second <= _MOST_MONTH)
        return (second, first) if by_day else (first, second)
    name = parts.get("name")
    month = _MONTHS[name.lower()] if name else int(parts["month"] or 0)
    return month, int(parts.get("day") or 0)
