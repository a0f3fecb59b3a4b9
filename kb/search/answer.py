"""One search: read, score, filter by coverage, pick the best, say why."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import islice
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from kb.search.about import Asked
from kb.search.closely import looked_at, qualifying_of
from kb.search.matching import match
from kb.search.query import KINDS, Correction, Hit, Query, SearchAnswer
from kb.search.ranking import (
    Postings,
    Scores,
    add_at,
    add_up,
    best,
    loud_and_faint,
    rarity,
)
from kb.search.reading import Read, read
from kb.search.reasons import Held, reasons
from kb.search.same.one_defect import best_of_each
from kb.search.snapshot import Part, Snapshot
from kb.search.vehicle.names import NO
from kb.search.vehicle.names_on_file import names_on_file
from kb.search.vehicle.standing import APPLIES, Eligible
from kb.search.weights import Weights
from kb.vehicle.read_vehicle import read_vehicle
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


class _Found(NamedTuple):
    part: Part
    note: int
    score: float
    standing: int
    kind: int
    key: int


def answer(snapshot: Snapshot, query: Query) -> SearchAnswer:
    """Results of a query on a snapshot, for the vehicle that its text tells where none was filled in."""
    read = None
    if query.reads_vehicle:
        read = read_vehicle(query.text, names_on_file(snapshot), query.vehicle)
    if read is None:
        return _answered(snapshot, query)
    rest = read.rest_of(query.text)
    told = replace(query, text=rest if words(rest) or query.codes else query.text)
    if query.recorded:
        return _answered(snapshot, told)
    return replace(_answered(snapshot, replace(told, vehicle=read.vehicle)), read=read)


def _answered(snapshot: Snapshot, query: Query) -> SearchAnswer:
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
    found.sort(key=lambda hit: (-hit.score, hit.kind, hit.key))
    most = max(query.limit, 0) * SPARE
    likely, also = best_of_each(snapshot, found, most) if query.joins_defects else (found[:most], {})
    held = dict(zip(map(id, snapshot.parts), tables, strict=True))
    hits = _explained(snapshot, asked, factors, likely, held)
    shown = tuple(
        replace(hit, also=also.get((hit.id, hit.kind), ())) for hit in islice(hits, max(query.limit, 0))
    )
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
        text = part.segment.text
        columns = (notes, exact, standings, text.kinds[notes], text.keys[notes])
        found += [_Found(part, *hit) for hit in zip(*(column.tolist() for column in columns), strict=True)]
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
    snapshot: Snapshot,
    asked: Read,
    factors: Sequence[float],
    likely: Sequence[_Found],
    tables: Mapping[int, Sequence[Postings]],
) -> Iterable[Hit]:
    """The likely ones that are results, with grade and reasons, in the order given."""
    by_itself = Asked.of(asked.terms, snapshot.lexicon.concepts)
    close = {
        (id(part), note): row
        for part in {id(found.part): found.part for found in likely}.values()
        for note, row in looked_at(
            snapshot,
            part,
            tables[id(part)],
            [found.note for found in likely if found.part is part],
            by_itself,
        )
    }
    for found in likely:
        row = close[id(found.part), found.note]
        met = [at for at, place in enumerate(row.firsts) if place >= 0]
        terms = [asked.terms[at] for at in met]
        matched = match(asked, terms)
        about = qualifying_of(snapshot, found.part, found.note, row, by_itself)
        if matched.counts or about:
            held = [
                Held(asked.terms[at], row.firsts[at], factors[at] * row.impacts[at], at in about)
                for at in met
            ]
            yield Hit(
                found.key,
                KINDS[found.kind],
                found.score,
                matched.grade,
                APPLIES[found.standing],
                reasons(snapshot, found.part.segment, found.note, held),
                bool(about),
                tuple(dict.fromkeys(term.typed for term in terms)),
            )
