"""The words of a running text with their places, and the years and engines among them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from kb.nouns.model_years import year_of_two_figures

_WORD = re.compile(r"[^\W_]+(?:\.\d[^\W_]*)?")
FIRST_YEAR, FIRST_SHORT_YEAR = 1960, 1980
"""Older vehicles have no software; what is later than the newest model year is a speed or a mileage."""
_MEASURED = frozenset(
    ("miles", "mile", "mi", "km", "kms", "rpm", "rpms", "lbs", "pounds", "dollars", "bucks", "psi", "volts",
     "feet", "mph", "k", "hours", "hrs", "hp", "times", "cc", "amps", "degrees", "minutes", "min", "seconds",
     "sec")
)  # fmt: skip
_DATED = frozenset(
    ("in", "on", "since", "of", "until", "till", "by", "during", "around", "early", "late", "mid", "january",
     "february", "march", "april", "may", "june", "july", "august", "september", "october", "november",
     "december", "jan", "feb", "mar", "apr", "jun", "jul", "aug", "sep", "sept", "oct", "nov", "dec", "dated")
)  # fmt: skip
_MEASURING = frozenset(
    ("at", "to", "over", "above", "under", "below", "past", "around", "from", "about", "between", "near")
)
"""Two figures behind one of them are a speed or a temperature: "drops to 40"."""
_ON_PAPER = frozenset(("ro", "code"))
"""A figure behind one of them is a number on paper, whatever name stands beside it."""
_LITERS = re.compile(r"([0-9]\.[0-9])(l|t|lt|liter|ltr)?")
_OF_LITERS = frozenset(
    ("l", "liter", "litre", "liters", "ltr", "t", "turbo", "hemi", "diesel", "ecoboost", "engine")
)
_CYLINDERS = re.compile(r"[vihl](?:[2-6]|8|10|12)|w12")


class Written(NamedTuple):
    """A word in small letters, where it stands in the text, the sign right before it, and the model year that
    it is if it is one.
    """

    text: str
    begins: int
    ends: int
    before: str
    year: int | None = None

    @property
    def is_part_of_date(self) -> bool:
        return self.before in tuple("/-$#.,:") and self.text.isdecimal()


def written_in(text: str, newest: int) -> list[Written]:
    """The words of a text; a figure with decimals is one word, other signs part words. `newest` is the last
    model year there is.
    """
    return [
        Written(one[0].lower(), at, one.end(), text[at - 1 : at], _year_of(one[0], newest))
        for one in _WORD.finditer(text)
        for at in [one.start()]
    ]


def _year_of(figures: str, newest: int) -> int | None:
    if len(figures) not in (2, 4) or not (figures.isascii() and figures.isdecimal()):
        return None
    if len(figures) == 4:
        return int(figures) if FIRST_YEAR <= int(figures) <= newest else None
    year = year_of_two_figures(figures)
    return year if FIRST_SHORT_YEAR <= year <= newest else None


def year_at(said: Sequence[Written], at: int, *, short: bool, beside: bool = False) -> int | None:
    """The model year that a word may be; `short` says whether two figures will do ("17" as well as "'17"),
    `beside` that a name stands right behind it: then "on 2020" is no date.
    """
    word = said[at]
    if word.year is None or is_measure(said, at) or word.is_part_of_date:
        return None
    ahead = said[at - 1].text if at else ""
    if len(word.text) > 2:
        return None if ahead in _ON_PAPER or (not beside and ahead in _DATED) else word.year
    is_short = word.before in tuple("'\u2018\u2019") or (short and ahead not in _MEASURING)
    return word.year if is_short else None


def engine_near(said: Sequence[Written], first: int, last: int) -> tuple[str, tuple[int, ...]]:
    """The engine that words behind a vehicle's name tell, and which of them: "2.0t" is "2.0L turbo"."""
    liters, more, used = "", "", []
    for at in range(max(first, 0), min(last, len(said))):
        found = _LITERS.fullmatch(said[at].text)
        behind = said[at + 1].text if at + 1 < len(said) else ""
        if found and not liters and not is_measure(said, at):
            if not (at == first or found[2] or behind in _OF_LITERS or _CYLINDERS.fullmatch(behind)):
                continue
            liters = f"{found[1]}L"
            more += " turbo" if found[2] == "t" or behind in ("t", "turbo") else ""
            used += [at, at + 1] if behind in _OF_LITERS else [at]
        elif _CYLINDERS.fullmatch(said[at].text):
            more += f" {said[at].text.upper()}"
            used.append(at)
    return f"{liters}{more}".strip(), tuple(used)


def is_measure(said: Sequence[Written], at: int) -> bool:
    """Whether a number counts miles, turns or money: "2000 miles", "2,000"."""
    behind = said[at + 1] if at + 1 < len(said) else None
    if behind is not None and behind.text in _MEASURED:
        return True
    return behind is not None and behind.before in tuple(",/") and behind.text.isdecimal()
