"""A part made of entries, and the spelling that the words of all parts teach."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from kb.search.query import KINDS, IndexEntry
from kb.search.segment import Segment
from kb.search.snapshot import Part
from kb.search.stored.columns import CONCERN
from kb.search.stored.coverage import StandingRows
from kb.search.stored.defects import DefectRows
from kb.search.text import TextRows
from kb.search.vehicle.standing import Standing
from kb.search.vocabulary import Vocabulary
from kb.search.weights import Weights
from kb.vehicle.families import Families
from kb.words.lexicon import Lexicon
from kb.words.spelling import Speller, make_speller

AT_A_TIME = 2_000


class Rows:
    """What a part is made of, taken in from entries, or from rows that another process took.

    Joined in the order of their entries, rows are numbered as if one process had taken all of them.
    """

    def __init__(self, vocabulary: Vocabulary | None = None) -> None:
        self.vocabulary = vocabulary or Vocabulary()
        self._texts, self._covered, self._defects = TextRows(), StandingRows(), DefectRows()

    def take(self, entries: Iterable[IndexEntry]) -> Rows:
        """Take all in, past concerns last. Some at a time, so that none need be held together: numbers are
        all that stays of them.
        """
        coming = _past_concerns_last(entries)
        while some := list(islice(coming, AT_A_TIME)):
            self._texts.take(some, self.vocabulary)
            self._covered.take(some)
            self._defects.take(some)
        return self

    def join(self, other: Rows) -> None:
        """Take in what another took. No notes may come behind past concerns."""
        self._texts.join(other._texts, self.vocabulary.join(other.vocabulary))
        self._covered.join(other._covered)
        self._defects.join(other._defects)

    def part(self, weights: Weights, usual: NDArray[np.float64] | None, families: Families) -> Part:
        """One part of all; `usual` are the usual lengths of texts, its own where none are given."""
        segment = Segment.of(self._texts.made(), self.vocabulary, weights, usual)
        return Part(segment, Standing(self._covered.made(), families), self._defects.made())


def _past_concerns_last(entries: Iterable[IndexEntry]) -> Iterator[IndexEntry]:
    past = []
    for entry in entries:
        if entry.kind == KINDS[CONCERN]:
            past.append(entry)
        else:
            yield entry
    yield from past


def speller_of(parts: Sequence[Part], vocabulary: Vocabulary, lexicon: Lexicon) -> Speller:
    """A customer's slip of the pen is no word: notes and the lexicon say what is, past concerns do not."""
    spelled = vocabulary.without_figures()[1:]  # the separator is first
    counts = note_counts(parts, len(vocabulary))[spelled].tolist()
    words = list(zip(map(vocabulary.word, spelled.tolist()), counts, strict=True))
    heard = [word for word, many in words if not many]
    return make_speller({word: many for word, many in words if many}, lexicon.words, heard)


def note_counts(parts: Sequence[Part], words: int) -> NDArray[np.int64]:
    """How often each word is written in notes."""
    counts = np.zeros(words, dtype=np.int64)
    for part in parts:
        written = part.segment.columns.written
        counts[: len(written)] += written
    counts[0] = 0  # the separator
    return counts
