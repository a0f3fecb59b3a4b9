"""Which numbers of the trade a short text may be: repair order, bulletin, recall, end of a VIN, calibration.

Forms are common practice; a VIN has no I, O or Q and ends in four figures (from memory, 49 CFR 565).
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from kb.words.normalise import is_code

MOST_WORDS = 4
"""A text of more words is a complaint, whatever numbers are in it."""
MOST_LETTERS = 10_000
CUT_OFF = "\u2026"
"""What stands before the end of a VIN where the rest is not shown."""
LONGEST_NUMBERS = 200
"""Letters of the words that may be numbers: what is longer is none, and would be tried at each letter."""

_ORDER = re.compile(
    r"(?P<said>r\.?\s?o\.?\s*(?:no\.?|number|#)?\s*:?\s*#?\s*)?(?P<number>[\w./-]*\d[\w./-]*)", re.I
)
_LINE = re.compile(r"(.+?)\s*-\s*([A-Z])", re.I)
_BULLETIN = re.compile(
    r"[a-z]{2,}[a-z0-9]*?[-./ ]?[0-9]+[a-z0-9]*|[0-9]{2}[VETCX][- ]?[0-9]{3}(?:000)?", re.I
)
RECALL = re.compile(r"(?<![\w-])[0-9]{2}[VETCX]-?[0-9]{3}(?:000)?(?![\w-])", re.I)
_VIN = re.compile(r"(?:[A-HJ-NPR-Z0-9]{9})?[A-HJ-NPR-Z0-9]{4}[0-9]{4}", re.I)
_CALIBRATION = re.compile(r"(?=\S*\d)[A-Z0-9](?:[A-Z0-9]|[-._/](?=[A-Z0-9])){2,}", re.I)
_YEAR = re.compile(r"(?:19|20)\d\d")


@dataclass(frozen=True, slots=True)
class NumbersTyped:
    """Repair orders as (number, line, which is empty for any), and the other numbers as typed.

    `calibrations` may be part of an ID, of three characters or more; they and orders without "RO" are looked
    for only where nothing else is typed.
    """

    orders: tuple[tuple[str, str], ...] = ()
    bulletins: tuple[str, ...] = ()
    vins: tuple[str, ...] = ()
    calibrations: tuple[str, ...] = ()


def numbers_typed(text: str) -> NumbersTyped:
    """What a text may ask for by number; of a complaint only the recalls that it names."""
    said = text.replace(CUT_OFF, " ").split()
    if not 1 <= len(said) <= MOST_WORDS or sum(map(len, said)) > LONGEST_NUMBERS:
        return NumbersTyped(bulletins=tuple(dict.fromkeys(RECALL.findall(text[:MOST_LETTERS]))))
    whole = " ".join(said)
    return NumbersTyped(
        _orders(whole),
        tuple(one for one in dict.fromkeys((whole, *said)) if _BULLETIN.fullmatch(one)),
        tuple(one.upper() for one in said if _VIN.fullmatch(one)),
        tuple(said) if len(said) == 1 and _is_calibration(whole) else (),
    )


def _orders(text: str) -> tuple[tuple[str, str], ...]:
    found = _ORDER.fullmatch(text)
    if found is None or (is_code(text) and not found["said"]):
        return ()
    line = _LINE.fullmatch(found["number"])
    of_line = ((line[1], line[2].upper()),) if line else ()
    return tuple(dict.fromkeys(((text, ""), (found["number"], ""), *of_line)))


def _is_calibration(word: str) -> bool:
    return _CALIBRATION.fullmatch(word) is not None and not (is_code(word) or _YEAR.fullmatch(word))
