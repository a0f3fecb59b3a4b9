"""Whether a complaint names a speed far from the one at which a bulletin says that it happens.

Miles per hour. Only a printed range that rises counts ("40 to 50 mph"): one that falls ("8 to 3 mph") is a
way to stop, and is passed through from any speed.
"""

from __future__ import annotations

import re

from kb.nouns.advice import Against

CLEARLY = 15
"""So far beyond either end of the range a speed is another one: common practice, no source."""
_RANGE = r"(\d{1,3})(?:\s*(?:to|-)\s*(\d{1,3}))?"
_PRINTED = re.compile(rf"{_RANGE}\s*mph\b", re.IGNORECASE)
_SAID = re.compile(
    rf"\b{_RANGE}\s*mph\b|\b(?:at|above|over|past|doing)\s+([2-9]\d)\b(?=\s*(?:$|[.;]|,\D|and\b|on\b|only\b))",
    re.IGNORECASE,
)
_OTHER_UNIT = re.compile(r"\d\s*(?:k\s?/?\s?m\s?/?\s?h|kph|kilomet)", re.IGNORECASE)


def driven_otherwise(complaint: str, printed: str) -> tuple[Against, ...]:
    """What speaks against conditions as `printed` where every speed of the complaint is clearly outside.

    Nothing where either names none, or the complaint counts in kilometers.
    """
    found = _PRINTED.search(printed)
    said = [(one[0], _numbers(one)) for one in _SAID.finditer(complaint)]
    if found is None or not said or _OTHER_UNIT.search(complaint):
        return ()
    low, high = (*_numbers(found), 0)[:2]
    if low >= high or any(low - CLEARLY < speed < high + CLEARLY for _, speeds in said for speed in speeds):
        return ()
    return (
        Against(f"It lists as conditions: {printed}", f"you said: {said[0][0].strip()}", of_conditions=True),
    )


def _numbers(found: re.Match[str]) -> tuple[int, ...]:
    return tuple(int(one) for one in found.groups() if one)
