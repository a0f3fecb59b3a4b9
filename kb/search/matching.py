"""How well a note matches.

Each typed word that carries meaning has a worth by its kind (a code 2, a symptom or part 1, a plain word ½, a
word that only places or qualifies less); a word found through a neighbouring concept or a related code counts
half. The grade comes from what it holds, times how few notes on file hold more:

    ln(N / (n + 1)) / ln(min(N, 500)), 1 at most

of N notes, n of which score higher whatever vehicle they are for. Words that many hold tell little; where a
note stands among all moves little while the file grows.

strong: at least .95 of (the share of the worth typed, at most 10, that it holds + ⅕ if it is about it,
kb/search/about.py), a symptom, part or code among it, make and model known and the note for them
partial: at least .28 of what it scores of the best on file, whatever vehicle either is for: with the right
note gone, one for another vehicle tells how far off the nearest is. In a small file the best may be poor: no
more than h / ⅕ counts, h what it scores for a known vehicle if all words were as rare. Of a short text it
must hold ⅕ of the worth, or it counts for less
weak: what is left; where all is weak and none about it, nothing on file is about what was typed

The limits were chosen on complaints with their note on file and with it taken out (DEVELOPERS.md has the
curve). A note that holds less than a tenth is no result, unless a symptom, part or code is among it: of a
long text each is a small share.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from kb.nouns.notes import Grade
from kb.search.reading import CODE_WORTH, Read, Term

STRONG, PARTIAL, LEAST = 0.95, 0.28, 0.1
ENOUGH = 10.0
"""Worth of a complaint told in full: who writes a page repeats it and tells of other things too."""
ABOUT, POOR, LITTLE = 0.2, 0.2, 0.2
MANY = 500
"""In a larger file than this, one note in so many is as few as counts."""
TELLING_WORTH, TELLING_CERTAINTY = 0.8, 0.5


class Match(NamedTuple):
    """How much of what was typed a note holds: the `share` of its worth, and whether any of it is telling;
    `in_full` says that a complaint was told so, `several` that more than one word of it is held.
    """

    share: float
    telling: bool
    in_full: bool
    several: bool

    @property
    def counts(self) -> bool:
        """Whether it is a result at all."""
        return self.share >= LEAST or self.telling

    @property
    def is_alike(self) -> bool:
        """Whether a past complaint is like what was typed; one plain word of both makes none ("does it")."""
        return self.counts and (self.telling or self.several)

    def grade(
        self, *, held: float, of_best: float, about: bool, above: float, notes: int, for_vehicle: bool
    ) -> Grade:
        """Its grade where `above` of all `notes` score higher, it scores `of_best` of what the best does and
        `held` if all words are as rare; `for_vehicle`: it is for the known model.
        """
        few = _how_few(above, notes)
        if (self.share + ABOUT * about) * few >= STRONG and self.telling and for_vehicle:
            return Grade.STRONG
        much = min(of_best, held / POOR) * (1.0 if self.in_full else min(1.0, self.share / LITTLE))
        return Grade.PARTIAL if much * few >= PARTIAL else Grade.WEAK


def _how_few(above: float, notes: int) -> float:
    if notes <= 1:
        return 1.0
    return min(math.log(notes / (above + 1)) / math.log(min(notes, MANY)), 1.0)


@dataclass(frozen=True, slots=True)
class Worth:
    """What typed words are worth in grading: by unit, in all, and of words without codes; of each term its
    unit and certainty, and all units that it was typed in.
    """

    of_units: tuple[float, ...]
    total: float
    of_words: float
    terms: tuple[tuple[int, float], ...]
    typed_in: tuple[tuple[int, ...], ...]

    @classmethod
    def of(cls, read: Read) -> Worth:
        return cls(
            tuple([unit.worth for unit in read.units]),
            sum([unit.worth for unit in read.units]),
            sum([unit.worth for unit in read.units if unit.worth != CODE_WORTH]),
            tuple([(term.unit, term.certainty) for term in read.terms]),
            tuple([_typed_in(term) for term in read.terms]),
        )

    def match(self, places: Sequence[int]) -> Match:
        """How much of what was typed the note holds that the terms at these places met."""
        held: dict[int, float] = {}
        for at in places:
            unit, certainty = self.terms[at]
            if certainty > held.get(unit, 0.0):
                held[unit] = certainty
        met = sum([self.of_units[unit] * part for unit, part in held.items()])
        share = min(1.0, met / min(self.total, ENOUGH)) if self.total else 0.0
        worths = [self.of_units[unit] for unit, part in held.items() if part >= TELLING_CERTAINTY]
        return Match(share, max(worths, default=0.0) >= TELLING_WORTH, self.total > ENOUGH, len(held) > 1)

    def share_of_words(self, places: Sequence[int]) -> float:
        """The share of the words typed, codes apart, that stand in what was met, a phrase's all: asked of a
        result, whose reasons rest on it.
        """
        held = {unit for at in places if self.terms[at][1] == 1 for unit in self.typed_in[at]}
        worths = [worth for worth in map(self.of_units.__getitem__, held) if worth != CODE_WORTH]
        return min(1.0, sum(worths) / min(self.of_words, ENOUGH)) if self.of_words else 1.0


def _typed_in(term: Term) -> tuple[int, ...]:
    """All units of the places where it was typed; its own where it was not typed as itself."""
    if not term.spots:
        return (term.unit,)
    return tuple({unit for spot in term.spots for unit in range(spot.begins, spot.ends + 1)})
