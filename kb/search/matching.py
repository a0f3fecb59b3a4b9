"""How well a note matches.

The grade looks only at what was typed and what of it the note holds, never at how rare a word is in the
corpus, so it stays the same while the corpus grows. Each typed word that carries meaning has a worth by
its kind (a code 2, a symptom or part 1, a plain word ½, a word that only places or qualifies less); a word
found through a neighbouring concept or a related code counts half. Of the whole worth typed:
strong: at least 0.6, and a symptom, part or code among it; partial: at least 0.35; weak: at least 0.1.
What holds less than that is no result, unless a symptom, part or code is among it: of a long text each is a
small share.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from kb.nouns.notes import Grade
from kb.search.reading import Read, Term

STRONG, PARTIAL, LEAST = 0.6, 0.35, 0.1
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

    @property
    def grade(self) -> Grade:
        if self.share >= STRONG and self.telling:
            return Grade.STRONG
        return Grade.PARTIAL if self.share >= PARTIAL else Grade.WEAK


def match(read: Read, matched: Iterable[Term]) -> Match:
    """How much of what was typed the note holds that these terms met."""
    held: dict[int, float] = {}
    for term in matched:
        held[term.unit] = max(held.get(term.unit, 0.0), term.certainty)
    total = sum(unit.worth for unit in read.units)
    share = sum(read.units[unit].worth * part for unit, part in held.items()) / total if total else 0.0
    worths = [read.units[unit].worth for unit, part in held.items() if part >= TELLING_CERTAINTY]
    return Match(share, max(worths, default=0.0) >= TELLING_WORTH)
