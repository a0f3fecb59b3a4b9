"""Letters and figures that print alike, and what a form of a standard says of them.

Which ones look alike is common practice, no source.
"""

from __future__ import annotations

import re

_AS_FIGURES = str.maketrans({"O": "0", "Q": "0", "I": "1", "L": "1"})
_IN_VIN = str.maketrans({"O": "0", "Q": "0", "I": "1"})
OTHERS = {
    "0": "D", "D": "0", "5": "S", "S": "5", "8": "B", "B": "8", "2": "Z", "Z": "2", "6": "G", "G": "6",
    "1": "LT7", "L": "1", "7": "1T", "T": "71", "U": "V", "V": "UY", "Y": "V", "M": "N", "N": "M",
}  # fmt: skip
"""What else a character of a VIN may be where a camera read it."""
_ALIKE = frozenset("0OQDI1L5S8B2Z6G")
_ALIKE_IN_HEX = frozenset("B8D")
_LETTER_BY_FIGURE = re.compile(r"(?<=[0-9])[OIl]|[OIl](?=[0-9])")


def as_figures(word: str) -> str:
    """A word of which the form says that it holds figures only, 0-9 or also A-F."""
    return word.upper().translate(_AS_FIGURES)


def as_vin(word: str) -> str:
    """A word of which the form says that it holds no I, O and Q (49 CFR 565.15)."""
    return word.upper().translate(_IN_VIN)


def doubtful_in_hex(value: str, since: int = 1) -> tuple[int, ...]:
    """The places from `since` on where a camera's hexadecimal figure may be another one."""
    return tuple(n for n, sign in enumerate(value, start=1) if n >= since and sign in _ALIKE_IN_HEX)


def doubtful_in_id(value: str, *, by_camera: bool) -> tuple[int, ...]:
    """The places, from 1, of an ID whose form settles nothing: all that look alike where a camera read it, a
    letter O or I next to a figure where somebody typed it.
    """
    if by_camera:
        return tuple(n for n, sign in enumerate(value.upper(), start=1) if sign in _ALIKE)
    return tuple(found.start() + 1 for found in _LETTER_BY_FIGURE.finditer(value))
