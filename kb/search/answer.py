"""One search: read, score, filter by coverage, pick the best, say why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kb.search.matching import grade, reasons
from kb.search.query import KINDS, Correction, Hit, Query, SearchAnswer
from kb.search.ranking import Postings, add_up, best, rarity
from kb.search.reading import Read, Term, read
from kb.search.snapshot import Part, Snapshot
from kb.search.standing import APPLIES

NOTHING_TYPED = "Type a symptom, a part or a trouble code to search."
NOTHING_TELLING = "Nothing in that to search for. Add a symptom, a part or a trouble code."
NOTHING_FOUND = "Nothing on file matches that. Try other words, or leave the vehicle out."
NOTHING_APPLIES = (
    "Nothing on file matches that for this vehicle. Leave the vehicle out to see other vehicles."
)


@dataclass(frozen=True, slots=True)
class _Found:
    part: Part
    note: int
    score: float
    standing: int


def answer(snapshot: Snapshot, query: Query) -> SearchAnswer:
    """Results of a query on a snapshot."""
    asked = read(query.text, query.codes, snapshot.lexicon, snapshot.speller, snapshot.weights)
    corrections = tuple(Correction(typed, read_as) for typed, read_as in asked.corrections)
    if not asked.terms:
        typed = query.text.strip() or any(code.strip() for code in query.codes)
        return SearchAnswer((), corrections, NOTHING_TELLING if typed else NOTHING_TYPED)
    tables = [[snapshot.postings(part, term.key) for term in asked.terms] for part in snapshot.parts]
    total = sum(part.segment.size for part in snapshot.parts)
    rare = [rarity(sum(len(table[at]) for table in tables), total) for at in range(len(asked.terms))]
    factors = [term.factor * worth**snapshot.weights.sharpness for term, worth in zip(asked.terms, rare, strict=True)]
    found = [
        hit
        for part, table in zip(snapshot.parts, tables, strict=True)
        for hit in _best_of(part, table, factors, query, snapshot.weights.cannot_tell)
    ]
    found.sort(
        key=lambda hit: (
            -hit.score,
            int(hit.part.segment.text.kinds[hit.note]),
            int(hit.part.segment.text.keys[hit.note]),
        )
    )
    shown = found[: max(query.limit, 0)]
    rows = {id(part): table for part, table in zip(snapshot.parts, tables, strict=True)}
    hits = tuple(_hit(snapshot, hit, asked, rows[id(hit.part)]) for hit in shown)
    return SearchAnswer(hits, corrections, "" if hits else _why_nothing(query))


def _why_nothing(query: Query) -> str:
    vehicle = query.vehicle
    return NOTHING_APPLIES if vehicle.make or vehicle.model or vehicle.year else NOTHING_FOUND


def _best_of(
    part: Part, table: Sequence[Postings], factors: Sequence[float], query: Query, cannot_tell: float
) -> list[_Found]:
    scores = add_up(table, factors, part.segment.size)
    scores *= part.alive
    if query.kinds:
        wanted = [KINDS.index(kind) for kind in query.kinds if kind in KINDS]
        scores *= np.isin(part.segment.text.kinds, wanted)
    standing = part.standing.of(query.vehicle, query.recorded)
    if part.worth is not None:
        scores *= part.worth[standing is not None]
    if standing is not None:
        lowered = np.array([0.1 if query.include_not_applying else 0.0, cannot_tell, 1.0], dtype=np.float32)
        scores *= lowered[standing]
    else:
        standing = part.standing.without_vehicle()
    picked = best(scores, max(query.limit, 1))
    return [_Found(part, int(note), float(scores[note]), int(standing[note])) for note in picked]


def _hit(snapshot: Snapshot, found: _Found, asked: Read, table: Sequence[Postings]) -> Hit:
    text = found.part.segment.text
    matched = {
        term: _matched(snapshot, found, term, postings)
        for term, postings in zip(asked.terms, table, strict=True)
        if _at(postings, found.note) >= 0
    }
    return Hit(
        int(text.keys[found.note]),
        KINDS[text.kinds[found.note]],
        found.score,
        grade(asked, matched),
        APPLIES[found.standing],
        reasons(matched),
    )


def _at(postings: Postings, note: int) -> int:
    at = int(np.searchsorted(postings.notes, note))
    return at if at < len(postings) and postings.notes[at] == note else -1


def _matched(snapshot: Snapshot, found: _Found, term: Term, postings: Postings) -> str:
    """The words of the note that a term met, as folded."""
    place = int(postings.firsts[_at(postings, found.note)])
    segment = found.part.segment
    if term.key[0] != "concept":
        return snapshot.vocabulary.word(segment.word_at(place))
    return snapshot.phrase_at(segment, place, term.key[1])
