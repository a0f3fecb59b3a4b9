"""Which notes score highest: the sum over terms, by what each note is worth and what it is for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from kb.search.query import KINDS, Query
from kb.search.ranking import Holdings, Level, Postings, Scores, add_up, best, loud_and_faint
from kb.search.reading import Term
from kb.search.snapshot import Part
from kb.search.text import Ints, Text
from kb.search.vehicle.names import NO
from kb.search.vehicle.standing import Eligible
from kb.search.weights import Weights

CLOSE_ONES = 5
"""This many times the results asked for are scored exactly, faint terms included."""
SHORT = 80
"""A note of fewer distinct stems holds no more for being shorter still: one word makes no match of it."""
REST = 1e-5
"""What a note for the model that was typed scores for that alone: it comes after all that matches."""


class Found(NamedTuple):
    """A note that scores high. `plain` is its score whatever vehicle was asked for, `held` what it would be
    for a known one that it is for if all words were as rare; what it holds of terms is a column of what those
    looked at `together` hold.
    """

    part: Part
    together: Holdings
    column: int
    note: int
    plain: float
    score: float
    held: float
    standing: int
    kind: int
    key: int


def shows_all(query: Query) -> bool:
    """Whether all that is for the vehicle is shown, after what matches: its model was typed."""
    return bool(query.vehicle.model) and not query.recorded


def scored(part: Part, table: Sequence[Postings], factors: Sequence[float]) -> Scores:
    """What each note of a part holds of the loud terms; those replaced or removed hold nothing."""
    loud, _ = loud_and_faint(table, factors)
    scores = add_up([table[at] for at in loud], [factors[at] for at in loud], part.segment.size)
    scores[list(part.dead)] = 0
    return scores


def level_of(parts: Sequence[Part], sums: Sequence[Scores]) -> Level:
    """Where scores stand among those of all notes, past concerns left out."""
    return Level.of(
        [
            (scores[: part.segment.notes], part.worth[False][: part.segment.notes])
            for part, scores in zip(parts, sums, strict=True)
        ]
    )


class _Likely(NamedTuple):
    """Notes worth a closer look: how each stands, what it scores by the loud terms, what it is worth, and
    what its score is multiplied by.
    """

    notes: NDArray[np.integer[Any]]
    standing: NDArray[np.int8]
    scores: Scores
    worth: Scores
    lift: Scores


def best_of(
    part: Part,
    table: Sequence[Postings],
    factors: Sequence[float],
    terms: Sequence[Term],
    held: Scores,
    query: Query,
    weights: Weights,
) -> list[Found]:
    """The best notes of one part, by what each holds, which is used up; ruled-out ones are dropped before the
    best are picked.
    """
    eligible = part.eligible(query.vehicle, query.recorded)
    likely = _of_any(part, held, query) if eligible is None else _for_it(part, held, eligible, query, weights)
    return [hit for some in likely for hit in _found(part, some, table, factors, terms, query, weights)]


def _of_any(part: Part, held: Scores, query: Query) -> Iterable[_Likely]:
    """Those of all notes, where nothing of a vehicle was said."""
    held *= part.worth[False]
    _narrow(held, part.segment.text, slice(None), query)
    notes = best(held, _many(query))
    even = np.ones(len(notes), dtype=np.float32)
    yield _Likely(notes, part.standing.unasked[notes], held[notes], part.worth[False][notes], even)


def _for_it(
    part: Part, held: Scores, eligible: Eligible, query: Query, weights: Weights
) -> Iterable[_Likely]:
    """Those that a vehicle does not rule out; and those that it does, where they are asked for."""
    lifts = np.array((weights.not_applying, weights.other_model, weights.cannot_tell, 1.0), dtype=np.float32)
    groups = [(eligible.notes, eligible.standing)]
    if query.include_not_applying:
        others = np.delete(np.arange(part.segment.size, dtype=np.int32), eligible.notes)
        groups.append((others, np.full(len(others), NO, dtype=np.int8)))
    for notes, standing in groups:
        worth, lift = part.worth[True][notes], lifts[standing]
        scores = held[notes] * worth
        if standing is eligible.standing and shows_all(query):
            scores += REST * worth * (notes < part.segment.notes)
        _narrow(scores, part.segment.text, notes, query)
        at = best(scores * lift, _many(query))
        yield _Likely(notes[at], standing[at], scores[at], worth[at], lift[at])


def _narrow(scores: Scores, text: Text, notes: slice | Ints, query: Query) -> None:
    """Leave of the notes those of the kinds and ids asked for."""
    if query.kinds:
        wanted = [KINDS.index(kind) for kind in query.kinds if kind in KINDS]
        scores *= np.isin(text.kinds[notes], wanted)
    if query.among:
        scores *= np.isin(text.keys[notes], query.among)


def _many(query: Query) -> int:
    return max(query.limit, 1) * CLOSE_ONES


def _found(
    part: Part,
    likely: _Likely,
    table: Sequence[Postings],
    factors: Sequence[float],
    terms: Sequence[Term],
    query: Query,
    weights: Weights,
) -> list[Found]:
    """Likely notes with their scores, by all terms."""
    notes, standing, scores, worth, lift = likely
    together, text = Holdings.of(table, notes), part.segment.text
    units, most = [term.unit for term in terms], np.float32(SHORT**-weights.brevity_with_vehicle)
    sums = add_by_word(together.impacts, factors, units, weights.overlap) + REST * shows_all(query)
    plainly = add_by_word(together.impacts, [term.factor for term in terms], units, weights.overlap)
    exact, held = sums * worth * lift, plainly * np.minimum(part.worth[True][notes], most)
    plain = scores / worth * part.worth[False][notes]
    columns = (notes, plain, exact, held, standing, text.kinds[notes], text.keys[notes])
    rows = zip(*(column.tolist() for column in columns), strict=True)
    return [Found(part, together, at, *row) for at, row in enumerate(rows)]


def add_by_word(impacts: Scores, factors: Sequence[float], units: Sequence[int], power: float) -> Scores:
    """What the readings of one typed word add together: less than each by itself, for "brake" is a word, a
    system and the beginning of "brake pedal", and a note that holds it holds one thing typed.

    By note (column) the sum over typed words of (Σ (factor · impact)^power)^(1/power), over the terms
    (rows) of the word, those of one of `units`: at power 1 their sum, the greatest as it grows.
    """
    if not len(units):
        return np.zeros(impacts.shape[1], dtype=np.float32)
    order = np.argsort(units, kind="stable")
    firsts = np.flatnonzero(np.diff(np.asarray(units)[order], prepend=-1))
    adds = (impacts * np.asarray(factors, dtype=np.float32)[:, np.newaxis])[order] ** np.float32(power)
    sums = np.add.reduceat(adds, firsts, axis=0) ** np.float32(1 / power)
    return np.asarray(sums.sum(axis=0))
