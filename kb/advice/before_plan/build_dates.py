"""Whether a complaint names a build date that a bulletin speaks against ("Built after December 31, 2020")."""

from __future__ import annotations

import re

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_NAMED = rf"(?P<name>{'|'.join(_MONTHS)})[a-z]*\.?\s*(?:\d{{1,2}}(?:st|nd|rd|th)?,?\s+)?"
_DATE = rf"(?:{_NAMED}|(?P<month>\d{{1,2}})\s*[/.-]\s*(?:\d{{1,2}}\s*[/.-]\s*)?)?(?P<year>20\d\d|\d\d)\b"
_BUILT = re.compile(
    rf"\b(?:built|build|mfd|mfg|manufactured|production)\b[^\d,;]{{0,20}}?{_DATE}", re.IGNORECASE
)
_LIMIT = re.compile(rf"\bbuilt\s+(?P<side>after|before)\s+{_DATE}", re.IGNORECASE)


def built_otherwise(complaint: str, entry: str) -> bool:
    """Whether the complaint tells a build date on the side of a day that the entry names.

    Days within a month are not looked at: door labels print month and year. A year alone counts where all
    of it lies on that side.
    """
    limit, told = _LIMIT.search(entry), _BUILT.search(complaint)
    if limit is None or told is None:
        return False
    bound, (year, month) = _month(limit), _month(told)
    if limit["side"].lower() == "after":
        return (year, month or 1) > (bound[0], bound[1] or 12)
    return (year, month or 12) < (bound[0], bound[1] or 1)


def _month(found: re.Match[str]) -> tuple[int, int]:
    """Year and month; month 0 where only a year is said."""
    name, number = found["name"], found["month"]
    month = _MONTHS.index(name[:3].lower()) + 1 if name else int(number or 0)
    return int(found["year"]) % 100 + 2000, month
