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
PRINTED = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9]|[-._/](?=[A-Za-z0-9]))*")
"""A word of letters, figures and the strokes and points inside it."""
ANY = "?"
"""Instead of the letters that one may be: it may be anything."""
_LETTER_BY_FIGURE = re.compile(r"(?<=[0-9])[OIl]|[OIl](?=[0-9])")


def as_figures(word: str) -> str:
    """A word of which the form says that it holds figures only, 0-9 or also A-F."""
    return word.upper().translate(_AS_FIGURES)


def as_vin(word: str) -> str:
    """A word of which the form says that it holds no I, O and Q (49 CFR 565.15)."""
    return word.upper().translate(_IN_VIN)


def alike(one: str, other: str) -> bool:
    """Whether two letters or figures print alike."""
    one, other = one.upper(), other.upper()
    return other in OTHERS.get(one, "") or as_figures(one) == as_figures(other)


def places_apart(one: str, other: str) -> tuple[int, ...]:
    """The places, from 1, in which two texts of one length differ; ValueError for two lengths."""
    return tuple(n for n, (a, b) in enumerate(zip(one, other, strict=True), start=1) if a != b)


def doubtful_in_id(value: str) -> tuple[int, ...]:
    """The places, from 1, of an ID whose form settles nothing: a letter O or I next to a figure."""
    return tuple(found.start() + 1 for found in _LETTER_BY_FIGURE.finditer(value))
