"""The arrays of one segment: its text as numbers, and where each stem occurs. Nothing else of it is kept."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from kb.search.query import KINDS
from kb.search.ranking import token_weights, usual_lengths
from kb.search.text import FIELD, Ints, Text
from kb.search.vocabulary import Vocabulary
from kb.search.weights import Weights
from kb.words.normalise import stem

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
    runs = run_of[places]
    notes = text.run_notes[runs]
    firsts = _firsts(notes, place_ends)
    sums = np.add.reduceat(run_weights[runs], firsts) if len(firsts) else np.empty(0, np.float32)
    told = notes[firsts]
    return Columns(
        starts,
        run_weights,
        run_of,
        stem_of,
        places,
        place_ends,
        told,
        np.asarray(sums / (weights.k1 + sums), dtype=np.float32),
        np.searchsorted(firsts, place_ends),
        np.bincount(told, minlength=text.size),
        usual,
        _written(text, run_of, len(stem_of)),
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


def _firsts(notes: Ints, place_ends: Ints) -> NDArray[np.intp]:
    """Which places are the first of their stem in their note."""
    new = np.ones(len(notes), dtype=bool)
    new[1:] = notes[1:] != notes[:-1]
    new[place_ends[:-1][place_ends[:-1] < len(new)]] = True
    return np.flatnonzero(new)


def _shares(text: Text, pool: float) -> NDArray[np.float32]:
    """What one run counts: documents of a note share by (number of documents)^-pool."""
    documents = text.run_fields == FIELD["document"]
    many = np.bincount(text.run_notes[documents], minlength=text.size)
    shares = np.ones(len(text.run_fields), dtype=np.float32)
    shares[documents] = np.maximum(many[text.run_notes[documents]], 1) ** -pool
    return shares


def _written(text: Text, run_of: Ints, words: int) -> NDArray[np.int64]:
    """How often each word number is written, past concerns left out."""
    past = text.kinds[text.run_notes] == CONCERN
    kept = text.words[~past[run_of]] if past.any() else text.words
    return np.bincount(kept, minlength=words)
