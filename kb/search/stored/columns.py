"""The arrays of one segment: its text as numbers, and where each stem occurs. Nothing else of it is kept."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from kb.search.query import KINDS
from kb.search.ranking import token_weights, usual_lengths
from kb.search.stored.at_once import at_once
from kb.search.text import FIELD, Ints, Text
from kb.search.vocabulary import Vocabulary
from kb.search.weights import Weights
from kb.words.normalise import stem

_AT_A_TIME = 1 << 19
"""So many stay below the 4 MB that the system is asked for anew each time (api/commands/workers.py)."""
CONCERN = KINDS.index("concern")
NOES = ("no", "not", "never", "without", "longer")
OF_LAMPS = ("warning", "lamp", "light", "other")
"""They may stand between a no and what it denies: "no warning lamp stays on"."""


@dataclass(frozen=True, slots=True)
class Columns:
    """A text's runs (`starts`, the weight of a word of each), the run of each word, the stem of each word
    number; by stem its places, ascending, and its notes with impact. `distinct` counts the
    stems of each note, `written` how often each word number is written in notes; `noes` and `of_lamps` are
    places.
    """

    starts: Ints
    run_weights: NDArray[np.float32]
    run_of: Ints
    stem_of: Ints
    places: Ints
    place_ends: Ints
    notes: Ints
    impacts: NDArray[np.float32]
    note_ends: NDArray[np.int64]
    distinct: NDArray[np.int64]
    usual: NDArray[np.float64]
    written: NDArray[np.int64]
    noes: Ints
    of_lamps: Ints


def columns_of(
    text: Text, vocabulary: Vocabulary, weights: Weights, usual: NDArray[np.float64] | None = None
) -> Columns:
    """The columns of a text; `usual` are the usual lengths of its fields, its own where none are given."""
    starts = np.concatenate(([0], text.run_ends[:-1] + 1)) if len(text.run_ends) else text.run_ends
    starts = starts.astype(np.int32, copy=False)
    lengths = text.run_ends - starts
    usual = usual_lengths(text.run_fields, lengths) if usual is None else usual
    run_weights = token_weights(text.run_fields, lengths, _shares(text, weights.pool), weights, usual)
    run_of = np.repeat(np.arange(len(starts), dtype=np.int32), lengths + 1)
    stem_of = vocabulary.stems_of()
    places, place_ends = _places(stem_of[text.words], vocabulary.stem_count)
    counted = partial(_counted_notes, text, run_of, run_weights, places, place_ends)
    found = at_once(counted, list(pairwise(_cuts(place_ends))))
    told = np.concatenate([one[0] for one in found])
    sums = np.concatenate([one[1] for one in found])
    many = np.concatenate([[0], *(one[2] for one in found)])
    return Columns(
        starts,
        run_weights,
        run_of,
        stem_of,
        places,
        place_ends,
        told,
        np.asarray(sums / (weights.k1 + sums), dtype=np.float32),
        np.cumsum(many),
        _counted(told, text.size),
        usual,
        _written(text, starts, len(stem_of)),
        _standing(NOES, vocabulary, places, place_ends),
        _standing(OF_LAMPS, vocabulary, places, place_ends),
    )


def _places(stems: Ints, count: int) -> tuple[Ints, Ints]:
    """Where each of some stems stands, one after another, and where the places of each end."""
    kept = np.flatnonzero(stems >= 0).astype(np.int32)
    by_stem = csr_array(
        (np.ones(len(kept), np.int8), (stems[kept], kept)), shape=(max(count, 1), max(len(stems), 1))
    )
    return by_stem.indices.astype(np.int32, copy=False), by_stem.indptr


def _standing(words: Iterable[str], vocabulary: Vocabulary, places: Ints, place_ends: Ints) -> Ints:
    """Where any of the words stands, ascending."""
    numbers = [vocabulary.stem_number(stem(word)) for word in words]
    known = [number for number in numbers if number is not None]
    found = [places[place_ends[number] : place_ends[number + 1]] for number in known]
    return np.sort(np.concatenate(found)) if found else places[:0]


def _cuts(place_ends: Ints) -> list[int]:
    """Stems between which the places are some at a time, first and last ones too."""
    inner = place_ends.searchsorted(np.arange(_AT_A_TIME, place_ends[-1], _AT_A_TIME, dtype=np.int32))
    cuts: list[int] = np.unique(np.concatenate(([0], inner, [len(place_ends) - 1]))).tolist()
    return cuts


def _counted_notes(
    text: Text,
    run_of: Ints,
    run_weights: NDArray[np.float32],
    places: Ints,
    place_ends: Ints,
    stems: tuple[int, int],
) -> tuple[Ints, NDArray[np.float32], NDArray[np.intp]]:
    """Of some stems the notes, the weight of all places in each, and how many notes each stem has."""
    ends = place_ends[stems[0] : stems[1] + 1]
    runs = run_of[places[ends[0] : ends[-1]]]
    notes = text.run_notes[runs]
    firsts = _firsts(notes, ends - ends[0])
    sums = np.add.reduceat(run_weights[runs], firsts) if len(firsts) else np.empty(0, np.float32)
    return notes[firsts], sums, np.diff(np.searchsorted(firsts, ends - ends[0]))


def _firsts(notes: Ints, ends: Ints) -> NDArray[np.intp]:
    """Which places are the first of their stem in their note."""
    new = np.ones(len(notes), dtype=bool)
    new[1:] = notes[1:] != notes[:-1]
    new[ends[:-1][ends[:-1] < len(new)]] = True
    return np.flatnonzero(new)


def _shares(text: Text, pool: float) -> NDArray[np.float32]:
    """What one run counts: documents of a note share by (number of documents)^-pool."""
    documents = text.run_fields == FIELD["document"]
    many = np.bincount(text.run_notes[documents], minlength=text.size)
    shares = np.ones(len(text.run_fields), dtype=np.float32)
    shares[documents] = np.maximum(many[text.run_notes[documents]], 1) ** -pool
    return shares


def _written(text: Text, starts: Ints, words: int) -> NDArray[np.int64]:
    """How often each word number is written, past concerns left out, which come last."""
    noted = int(text.run_notes.searchsorted(np.int32(np.count_nonzero(text.kinds != CONCERN))))
    kept = text.words[: starts[noted]] if noted < len(starts) else text.words
    return _counted(kept, words)


def _counted(numbers: Ints, many: int) -> NDArray[np.int64]:
    """How often each of so many numbers occurs; some at a time, since all would be copied as longer ones."""
    counts = np.zeros(many, dtype=np.int64)
    for first in range(0, len(numbers), _AT_A_TIME):
        counts += np.bincount(numbers[first : first + _AT_A_TIME], minlength=many)
    return counts
