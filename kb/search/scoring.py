"""Which notes score highest: the sum over terms, by what each note is worth and what it is for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from kb.search.query import KINDS, Query
from kb.search.ranking import Level, Postings, Scores, add_up, best, first_told_and_impact, loud_and_faint
from kb.search.reading import Term
from kb.search.snapshot import Part
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
    for a known one if all words were as rare.
    """

    part: Part
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
    """What each note of a part holds of the loud terms."""
    loud, _ = loud_and_faint(table, factors)
    return add_up([table[at] for at in loud], [factors[at] for at in loud], part.segment.size)


def level_of(parts: Sequence[Part], sums: Sequence[Scores]) -> Level:
    """Where scores stand among those of all notes, past concerns left out."""
    return Level.of(
        [
            (scores[: part.segment.notes], part.worth[False][: part.segment.notes])
            for part, scores in zip(parts, sums, strict=True)
        ]
    )


def best_of(
    part: Part,
    table: Sequence[Postings],
    factors: Sequence[float],
    terms: Sequence[Term],
    scores: Scores,
    query: Query,
    weights: Weights,
) -> list[Found]:
    """The best notes of one part, by what each holds, which is used up; ruled-out ones are dropped before the
    best are picked.
    """
    eligible, text = part.standing.eligible(query.vehicle, query.recorded), part.segment.text
    worth = part.worth[eligible is not None]
    scores *= worth
    if eligible is not None and shows_all(query):
        of_model = eligible.notes[eligible.notes < part.segment.notes]
        scores[of_model] += REST * worth[of_model]
    scores[list(part.dead)] = 0
    if query.kinds:
        wanted = [KINDS.index(kind) for kind in query.kinds if kind in KINDS]
        scores *= np.isin(text.kinds, wanted)
    if query.among:
        scores *= np.isin(text.keys, query.among)
    most = np.float32(SHORT**-weights.brevity_with_vehicle)
    found, least, units = [], REST * shows_all(query), [term.unit for term in terms]
    for notes, standings, lift in _groups(part, scores, eligible, query, weights):
        impacts = first_told_and_impact(table, notes.astype(np.int32))[2]
        sums = add_by_word(impacts, factors, units, weights.overlap) + least
        plainly = add_by_word(impacts, [term.factor for term in terms], units, weights.overlap)
        exact, held = sums * worth[notes] * lift, plainly * np.minimum(part.worth[True][notes], most) * lift
        plain = scores[notes] / worth[notes] * part.worth[False][notes]
        columns = (notes, plain, exact, held, standings, text.kinds[notes], text.keys[notes])
        found += [Found(part, *hit) for hit in zip(*(column.tolist() for column in columns), strict=True)]
    return found


def _groups(
    part: Part, scores: Scores, eligible: Eligible | None, query: Query, weights: Weights
) -> Iterable[tuple[NDArray[np.integer[Any]], NDArray[np.int8], Scores]]:
    """(notes, their standings, what to multiply their scores by) of those worth a closer look."""
    many = max(query.limit, 1) * CLOSE_ONES
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
