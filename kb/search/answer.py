"""One search: read, score, filter by coverage, pick the best, say why."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kb.search.about import Asked, Told
from kb.search.matching import Match, match, worth_showing
from kb.search.query import KINDS, Correction, Hit, Query, SearchAnswer, Why
from kb.search.ranking import (
    Postings,
    Scores,
    add_at,
    add_up,
    best,
    first_places,
    loud_and_faint,
    rarity,
    told_in,
)
from kb.search.reading import Read, Term, read
from kb.search.snapshot import Part, Snapshot
from kb.search.standing import APPLIES, NO, Eligible
from kb.search.weights import Weights
from kb.words.normalise import words

NOTHING_TYPED = "Type a symptom, a part or a trouble code to search."
NOTHING_TELLING = "Nothing in that to search for. Add a symptom, a part or a trouble code."
NOTHING_FOUND = "Nothing on file matches that. Try other words, or leave the vehicle out."
NOTHING_APPLIES = (
    "Nothing on file matches that for this vehicle. Leave the vehicle out to see other vehicles."
)

CLOSE_ONES = 5
"""This many times the results asked for are scored exactly, faint terms included."""
SPARE = 2
"""This many times the results asked for are looked at: some may hold too little of what was typed."""


@dataclass(frozen=True, slots=True)
class _Found:
    part: Part
    note: int
    score: float
    standing: int


def answer(snapshot: Snapshot, query: Query) -> SearchAnswer:
    """Results of a query on a snapshot."""
    speller = snapshot.speller.sparing(word for text in query.as_typed for word in words(text))
    asked = read(query.text, query.codes, snapshot.lexicon, speller, snapshot.weights)
    corrections = tuple(Correction(typed, read_as) for typed, read_as in asked.corrections)
    if not asked.terms:
        typed = query.text.strip() or any(code.strip() for code in query.codes)
        return SearchAnswer((), corrections, NOTHING_TELLING if typed else NOTHING_TYPED, asked.denied)
    tables = [[snapshot.postings(part, term.key) for term in asked.terms] for part in snapshot.parts]
    rare = _rarities(snapshot, tables, query)
    factors = [
        term.factor * worth**snapshot.weights.sharpness for term, worth in zip(asked.terms, rare, strict=True)
    ]
    found = [
        hit
        for part, table in zip(snapshot.parts, tables, strict=True)
        for hit in _best_of(part, table, factors, query, snapshot.weights)
    ]
    found.sort(
        key=lambda hit: (
            -hit.score,
            int(hit.part.segment.text.kinds[hit.note]),
            int(hit.part.segment.text.keys[hit.note]),
        )
    )
    likely = found[: max(query.limit, 0) * SPARE]
    hits = _explained(snapshot, asked, likely, dict(zip(map(id, snapshot.parts), tables, strict=True)))
    shown = tuple(islice(hits, max(query.limit, 0)))
    return SearchAnswer(shown, corrections, "" if shown else _why_nothing(query), asked.denied)


def _rarities(snapshot: Snapshot, tables: Sequence[Sequence[Postings]], query: Query) -> list[float]:
    """How rare each term is among notes, whatever past concerns say: a complaint that is heard every day
    must not make the bulletin about it hard to find. Among concerns where nothing else is asked for.
    """
    segments = [part.segment for part in snapshot.parts]
    notes = sum(segment.notes for segment in segments)
    everything = sum(segment.size for segment in segments)
    rare = []
    for terms in zip(*tables, strict=True):
        in_notes = sum(seg.in_notes(term) for seg, term in zip(segments, terms, strict=True))
        if notes and set(query.kinds) != {"concern"}:
            rare.append(rarity(in_notes, notes))
        else:
            rare.append(rarity(sum(map(len, terms)) - in_notes, everything - notes))
    return rare


def _why_nothing(query: Query) -> str:
    vehicle = query.vehicle
    return NOTHING_APPLIES if vehicle.make or vehicle.model or vehicle.year else NOTHING_FOUND


def _best_of(
    part: Part, table: Sequence[Postings], factors: Sequence[float], query: Query, weights: Weights
) -> list[_Found]:
    """The best notes of one part; ruled-out ones are dropped before the best are picked."""
    loud, faint = loud_and_faint(table, factors)
    scores = add_up([table[at] for at in loud], [factors[at] for at in loud], part.segment.size)
    scores[list(part.dead)] = 0
    if query.kinds:
        wanted = [KINDS.index(kind) for kind in query.kinds if kind in KINDS]
        scores *= np.isin(part.segment.text.kinds, wanted)
    if query.among:
        scores *= np.isin(part.segment.text.keys, query.among)
    eligible = part.standing.eligible(query.vehicle, query.recorded)
    worth = part.worth[eligible is not None]
    scores *= worth
    many = max(query.limit, 1) * CLOSE_ONES
    found = []
    for notes, standings, lift in _groups(part, scores, eligible, query, weights, many):
        rest = add_at([table[at] for at in faint], [factors[at] for at in faint], notes)
        exact = (scores[notes] + rest * worth[notes]) * lift
        found += [
            _Found(part, *hit) for hit in zip(notes.tolist(), exact.tolist(), standings.tolist(), strict=True)
        ]
    return found


def _groups(
    part: Part, scores: Scores, eligible: Eligible | None, query: Query, weights: Weights, many: int
) -> Iterable[tuple[NDArray[np.integer[Any]], NDArray[np.int8], Scores]]:
    """(notes, their standings, what to multiply their scores by) of those worth a closer look."""
    if eligible is None:
        notes = best(scores, many)
        yield notes, part.standing.unasked[notes], np.ones(len(notes), dtype=np.float32)
        return
    lifts = (weights.not_applying, weights.other_model, weights.cannot_tell, 1.0)
    lift = np.array(lifts, dtype=np.float32)[eligible.standing]
    at = best(scores[eligible.notes] * lift, many)
    yield eligible.notes[at], eligible.standing[at], lift[at]
    if query.include_not_applying:
        others = scores.copy()
        others[eligible.notes] = 0
        notes = best(others, many)
        yield (
            notes,
            np.full(len(notes), NO, dtype=np.int8),
            np.full(len(notes), weights.not_applying, np.float32),
        )


def _explained(
    snapshot: Snapshot, asked: Read, likely: Sequence[_Found], tables: Mapping[int, Sequence[Postings]]
) -> Iterable[Hit]:
    """The likely ones that are results, with grade and reasons, in the order given."""
    places: dict[tuple[int, int], NDArray[np.int64]] = {}
    told: dict[tuple[int, int], Told] = {}
    by_itself = Asked.of(asked.terms, snapshot.lexicon.concepts)
    for part in {id(found.part): found.part for found in likely}.values():
        notes = np.array([found.note for found in likely if found.part is part], dtype=np.int32)
        met, tells = first_places(tables[id(part)], notes), told_in(tables[id(part)], notes)
        for at, note in enumerate(notes.tolist()):
            key = (id(part), note)
            places[key] = met[:, at]
            told[key] = Told(_places(met[:, at] >= 0), _places(tells[:, at]), int(part.systems[note]))
    order = sorted(range(len(asked.terms)), key=lambda at: (-asked.terms[at].factor, asked.terms[at].key))
    for found in likely:
        key = (id(found.part), found.note)
        where = places[key]
        met_terms = [at for at in order if where[at] >= 0]
        matched = match(asked, [asked.terms[at] for at in met_terms])
        qualifying = _qualifying(snapshot, found, by_itself, told[key])
        if matched.counts or qualifying:
            why, about = (
                tuple(_why(snapshot, found, asked.terms[at], int(where[at])) for at in some)
                for some in (worth_showing(asked, met_terms), qualifying)
            )
            yield _hit(found, matched, why, about)


def _qualifying(snapshot: Snapshot, found: _Found, asked: Asked, told: Told) -> tuple[int, ...]:
    """Why the note is about what was typed; its very words are read only where concepts do not tell."""
    if not asked.symptoms:
        return ()
    by_concept = asked.qualifying(told)
    if by_concept:
        return by_concept
    literally = _literally(snapshot, found.part, found.note, asked)
    return asked.qualifying(replace(told, tells=told.tells | literally)) if literally else ()


def _literally(snapshot: Snapshot, part: Part, note: int, asked: Asked) -> frozenset[int]:
    """Symptoms and plain words that the note tells as typed, though too loose to be looked for."""
    number = snapshot.vocabulary.stem_number
    stems = {at: asked.terms[at].stems or (asked.terms[at].key[1],) for at in (*asked.symptoms, *asked.plain)}
    return frozenset(
        at for at, some in stems.items() if part.segment.tells_words(note, [number(one) for one in some])
    )


def _places(which: NDArray[np.bool_]) -> frozenset[int]:
    return frozenset(np.flatnonzero(which).tolist())


def _hit(found: _Found, matched: Match, why: tuple[Why, ...], about: tuple[Why, ...]) -> Hit:
    text = found.part.segment.text
    number, kind = int(text.keys[found.note]), KINDS[text.kinds[found.note]]
    return Hit(number, kind, found.score, matched.grade, APPLIES[found.standing], why, about)


def _why(snapshot: Snapshot, found: _Found, term: Term, place: int) -> Why:
    segment = found.part.segment
    if place < 0:
        return Why(term.typed, term.read_as, term.read_as, term.through)
    if term.key[0] == "concept":
        matched = snapshot.phrase_at(segment, place, term.key[1])
    else:
        matched = snapshot.vocabulary.word(segment.word_at(place))
    return Why(term.typed, term.read_as, matched, term.through)
