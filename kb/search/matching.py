"""How well a note matches.

Each typed word that carries meaning has a worth by its kind (a code 2, a symptom or part 1, a plain word ½, a
word that only places or qualifies less); a word found through a neighbouring concept or a related code counts
half. The grade comes from one figure, for short and long texts alike:

    (share of the worth typed, at most 10, that the note holds + ⅕ if it is about it, kb/search/about.py)
    × how few notes on file hold more: ln(N / (n + 1)) / ln(min(N, 500)), 1 at most

of N notes, n of which score higher whatever vehicle they are for. Words that many hold tell little; where a
note stands among all moves little while the file grows.

strong: at least .95, a symptom, part or code among it, make and model known and the note for them
partial: at least .22 with a tenth for each of the reasons shown, two at most (kb/search/why/reasons.py)
weak: what is left; where all is weak, nothing on file is about what was typed

The limits were chosen on complaints with their note on file and with it taken out (DEVELOPERS.md has the
curve). A note that holds less than a tenth is no result, unless a symptom, part or code is among it: of a
long text each is a small share.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from kb.nouns.notes import Grade
from kb.search.reading import Read

STRONG, PARTIAL, LEAST = 0.95, 0.22, 0.1
ENOUGH = 10.0
"""Worth of a complaint told in full: who writes a page repeats it and tells of other things too."""
ABOUT, REASON, MOST_REASONS = 0.2, 0.1, 2
MANY = 500
"""In a larger file than this, one note in so many is as few as counts."""
TELLING_WORTH, TELLING_CERTAINTY = 0.8, 0.5


@dataclass(frozen=True, slots=True)
class Match:
    """How much of what was typed a note holds: the `share` of its worth, and whether any of it is telling."""

    share: float
    telling: bool

    @property
    def counts(self) -> bool:
        """Whether it is a result at all."""
        return self.share >= LEAST or self.telling

    def grade(self, *, about: bool, above: float, notes: int, for_vehicle: bool, reasons: int) -> Grade:
        """Its grade where `above` of all `notes` score higher; `for_vehicle`: it is for the known model."""
        figure = (self.share + ABOUT * about) * _how_few(above, notes)
        if figure >= STRONG and self.telling and for_vehicle:
            return Grade.STRONG
        figure += REASON * min(reasons, MOST_REASONS)
        return Grade.PARTIAL if figure >= PARTIAL else Grade.WEAK


def _how_few(above: float, notes: int) -> float:
    if notes <= 1:
        return 1.0
    return min(math.log(notes / (above + 1)) / math.log(min(notes, MANY)), 1.0)


@dataclass(frozen=True, slots=True)
class Worth:
    """What typed words are worth in grading: by unit, in all; and of each term its unit and certainty."""

    of_units: tuple[float, ...]
    total: float
    terms: tuple[tuple[int, float], ...]

    @classmethod
    def of(cls, read: Read) -> Worth:
        worths = tuple(unit.worth for unit in read.units)
        return cls(worths, sum(worths), tuple((term.unit, term.certainty) for term in read.terms))

    def match(self, places: Iterable[int]) -> Match:
        """How much of what was typed the note holds that the terms at these places met."""
        held: dict[int, float] = {}
        for at in places:
            unit, certainty = self.terms[at]
            if certainty > held.get(unit, 0.0):
                held[unit] = certainty
        met = sum([self.of_units[unit] * part for unit, part in held.items()])
        share = min(1.0, met / min(self.total, ENOUGH)) if self.total else 0.0
        worths = [self.of_units[unit] for unit, part in held.items() if part >= TELLING_CERTAINTY]
        return Match(share, max(worths, default=0.0) >= TELLING_WORTH)
