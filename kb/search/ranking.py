"""BM25F: how much a word or concept says of a note, field by field.

Sources: Robertson, Zaragoza & Taylor, "Simple BM25 extension to multiple weighted fields" (CIKM 2004);
Robertson & Zaragoza, Foundations and Trends in IR 3 (2009) 333-389. The inverse document frequency is the
one that never turns negative, ln(1 + (N − n + ½)/(n + ½)), and the constant factor k1 + 1 is left out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse._sparsetools import csc_matvec

from kb.search.weights import FIELDS, Weights

Scores = NDArray[np.float32]

REMEDY = "software_update"
"""The concept whose notes are lifted."""
FEWEST_STEMS = 10  # a note shorter than this gains nothing from being shorter still


@dataclass(frozen=True, slots=True)
class Postings:
    """Where a term occurs: note numbers ascending, and its saturated weight in each.

    `told` (of concepts only) says whether it stands where the note says what it is about.
    """

    notes: NDArray[np.int32]
    impacts: NDArray[np.float32]
    told: NDArray[np.bool_] | None = None

    def __len__(self) -> int:
        return len(self.notes)


NOTHING = Postings(np.empty(0, np.int32), np.empty(0, np.float32))


def token_weights(
    fields: NDArray[np.int8],
    lengths: NDArray[np.int32],
    shares: NDArray[np.float32],
    weights: Weights,
    usual: NDArray[np.float64],
) -> Scores:
    """Weight of one token of each run of text: w_f · share / (1 − b_f + b_f · length / usual length)."""
    weight = np.array([weights.fields[name].weight for name in FIELDS])[fields]
    b = np.array([weights.fields[name].b for name in FIELDS])[fields]
    norm = 1 - b + b * lengths / np.maximum(usual[fields], 1e-9)
    return np.asarray(weight * shares / np.maximum(norm, 1e-9), dtype=np.float32)


def usual_lengths(fields: NDArray[np.int8], lengths: NDArray[np.int32]) -> NDArray[np.float64]:
    """Mean length in words of each kind of text, over the runs that hold any."""
    counts = np.bincount(fields, minlength=len(FIELDS))
    return np.asarray(np.bincount(fields, weights=lengths, minlength=len(FIELDS)) / np.maximum(counts, 1))


def rarity(df: int, total: int) -> float:
    """Inverse document frequency, ln(1 + (N − n + ½)/(n + ½))."""
    return math.log1p((total - df + 0.5) / (df + 0.5))


def note_worth(stems: NDArray[np.int64], remedy: Postings, weights: Weights) -> Scores:
    """What each note is worth before anything is asked: see Weights. `stems` counts its distinct stems."""
    worth = np.maximum(stems, FEWEST_STEMS).astype(np.float64) ** -weights.brevity
    worth[remedy.notes] *= 1 + weights.remedy * remedy.impacts
    return np.asarray(worth, dtype=np.float32)


FAINT = 0.02
"""A term that can add at most this share of all is left for the close look: it saves the longest postings."""
FEW_POSTINGS = 20_000
"""With fewer postings than this in all, nothing is left for the close look."""


def loud_and_faint(terms: Sequence[Postings], factors: Sequence[float]) -> tuple[list[int], list[int]]:
    """Places of the terms to score everywhere, and of those to add for the best notes only."""
    sizes = [len(term.notes) for term in terms]
    held = [at for at, size in enumerate(sizes) if size]
    if sum(sizes) < FEW_POSTINGS:
        return held, []
    least = FAINT * sum(factors)
    return [at for at in held if factors[at] > least], [at for at in held if factors[at] <= least]


def add_up(terms: Sequence[Postings], factors: Sequence[float], size: int) -> Scores:
    """Score of every note: the sum over terms of factor times impact.

    The product of a sparse array that has a column for each term, by scipy's own loop for one (its name is
    private there), without putting that array together, which took longer than multiplying it.
    """
    scores = np.zeros(size, dtype=np.float32)
    ends = np.array([(0, len(term.notes)) for term in terms], dtype=np.int32)
    columns = np.array(factors, dtype=np.float32)[:, np.newaxis]
    for at, term in enumerate(terms):
        csc_matvec(size, 1, ends[at], term.notes, term.impacts, columns[at], scores)
    return scores


SAMPLE = 4_096
ABOVE = 1.02
"""A note that scores no more than this times as much holds no more: usual lengths differ between segments."""


@dataclass(frozen=True, slots=True)
class Level:
    """Where a score stands among those of all notes, whatever they are for: of a large file, by every so
    manyth note.
    """

    scores: Scores
    step: int
    notes: int
    best: float

    @classmethod
    def of(cls, parts: Sequence[tuple[Scores, Scores]]) -> Level:
        """`parts` has what each note holds and what it is worth."""
        notes = sum(len(sums) for sums, _ in parts)
        step = max(notes // SAMPLE, 1)
        scores = np.concatenate([sums[::step] * worth[::step] for sums, worth in parts])
        return cls(scores, step, notes, float(scores.max(initial=0.0)))

    def above(self, score: float) -> int:
        """About how many notes score higher, by more than where they stand in the file can make."""
        return self.step * int(np.count_nonzero(self.scores > np.float32(score * ABOVE)))

    def of_best(self, score: float) -> float:
        """The share of the best note's score that this is; 1 where no note scores."""
        return score / self.best if self.best else 1.0


@dataclass(frozen=True, slots=True)
class Holdings:
    """What some notes (columns) hold of each of the terms (rows): whether any, its impact (0 where none), and
    where the note would stand among the term's.
    """

    terms: Sequence[Postings]
    any: NDArray[np.bool_]
    impacts: Scores
    at: Sequence[NDArray[np.intp]]

    @classmethod
    def of(cls, terms: Sequence[Postings], notes: NDArray[np.integer[Any]]) -> Holdings:
        notes = notes.astype(np.int32, copy=False)  # of another type, all of a term's would be copied
        nearest = np.full((len(terms), len(notes)), -1, dtype=np.int32)
        impacts = np.zeros((len(terms), len(notes)), dtype=np.float32)
        places = [term.notes.searchsorted(notes) for term in terms]
        for row, (term, at) in enumerate(zip(terms, places, strict=True)):
            if len(term.notes):
                term.notes.take(at, out=nearest[row], mode="clip")
                term.impacts.take(at, out=impacts[row], mode="clip")
        held = nearest == notes
        impacts *= held
        return cls(terms, held, impacts, places)

    def told(self, term: int, note: int) -> bool:
        """Whether a term that a note holds is told there."""
        told = self.terms[term].told
        return told is not None and bool(told[self.at[term][note]])


GROUP = 64
"""Notes of one group when the best are looked for."""
LEAST = np.finfo(np.float32).tiny


def best(scores: NDArray[np.float32], count: int) -> NDArray[np.intp]:
    """Positions of the `count` highest positive scores, ascending; all that tie with the last are in.

    Works on groups of notes: the count-th highest maximum of a group bounds the count-th highest score from
    below, and only groups with such a maximum are read again. Groups lie across, which is how numpy is fast.
    """
    positive = LEAST
    across = len(scores) // GROUP
    groups = scores[: across * GROUP].reshape(GROUP, across)
    if across > count:
        tops = groups.max(axis=0)
        positive = max(positive, np.partition(tops, across - count)[across - count])
        likely = np.flatnonzero(tops >= positive)
        rows, columns = np.nonzero(groups[:, likely] >= positive)
        rest = np.flatnonzero(scores[across * GROUP :] >= positive) + across * GROUP
        found = np.concatenate((rows * across + likely[columns], rest))
    else:
        found = np.flatnonzero(scores >= positive)
    if len(found) > count:
        values = scores[found]
        least = np.partition(values, len(values) - count)[len(values) - count]
        found = found[values >= least]
    return found
