"""A part made of entries, and the spelling that the words of all parts teach."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from kb.search.query import IndexEntry
from kb.search.segment import Segment
from kb.search.snapshot import Defects, Part
from kb.search.text import read_text
from kb.search.vehicle.standing import Standing
from kb.search.vocabulary import Vocabulary
from kb.search.weights import Weights
from kb.vehicle.families import Families
from kb.words.lexicon import Lexicon
from kb.words.spelling import Speller, make_speller


def make_part(
    entries: Sequence[IndexEntry],
    vocabulary: Vocabulary,
    weights: Weights,
    usual: NDArray[np.float64] | None,
    families: Families,
) -> Part:
    """One part of all entries; `usual` are the usual lengths of texts, its own where none are given."""
    entries = sorted(entries, key=lambda entry: entry.kind == "concern")
    segment = Segment(read_text(entries, vocabulary), vocabulary, weights, usual)
    return Part(segment, Standing(entries, families), Defects.of(entries))


def speller_of(parts: Sequence[Part], vocabulary: Vocabulary, lexicon: Lexicon) -> Speller:
    """A customer's slip of the pen is no word: notes and the lexicon say what is, past concerns do not."""
    words = vocabulary.words_from(0)
    counts = note_counts(parts, len(words))
    noted = {words[at]: int(counts[at]) for at in np.flatnonzero(counts)}
    heard = [words[at] for at in np.flatnonzero(counts[1:] == 0) + 1]
    return make_speller(noted, lexicon.words, heard)


def note_counts(parts: Sequence[Part], words: int) -> NDArray[np.int64]:
    """How often each word is written in notes."""
    counts = np.zeros(words, dtype=np.int64)
    for part in parts:
        counts += part.segment.counts_in_notes(words)
    counts[0] = 0  # the separator
    return counts
