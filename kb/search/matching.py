"""Why a note matched, and how well.

The grade looks only at what was typed and what of it the note holds, never at how rare a word is in the
corpus, so it stays the same while the corpus grows. Each typed word that carries meaning has a worth by
its kind (a code 2, a symptom or part 1, a plain word ½, a word that only places or qualifies less); a word
found through a neighbouring concept or a related code counts half. Of the whole worth typed:
strong: at least 0.6, and a symptom, part or code among it; partial: at least 0.35; weak: anything less.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from kb.nouns.notes import Grade
from kb.search.reading import Read, Term

STRONG, PARTIAL = 0.6, 0.35


def grade(read: Read, matched: Iterable[Term]) -> Grade:
    """How much of what was typed the note holds."""
    held: dict[int, float] = {}
    for term in matched:
        held[term.unit] = max(held.get(term.unit, 0.0), term.certainty)
    total = sum(unit.worth for unit in read.units)
    share = sum(read.units[unit].worth * part for unit, part in held.items()) / total if total else 0.0
    telling = any(read.units[unit].worth >= 0.8 and part >= 0.5 for unit, part in held.items())
    if share >= STRONG and telling:
        return Grade.STRONG
    return Grade.PARTIAL if share >= PARTIAL else Grade.WEAK


def worth_showing(read: Read, met: Sequence[int], most: int = 12) -> tuple[int, ...]:
    """Of the terms met, strongest first, the ones to show: at most two for each typed word."""
    chosen: list[int] = []
    seen: dict[int, int] = {}
    for at in met:
        unit = read.terms[at].unit
        seen[unit] = seen.get(unit, 0) + 1
        if seen[unit] <= 2:
            chosen.append(at)
    return tuple(chosen[:most])
