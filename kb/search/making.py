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


def make_part(
    entries: Iterable[IndexEntry],
    vocabulary: Vocabulary,
    weights: Weights,
    usual: NDArray[np.float64] | None,
    families: Families,
) -> Part:
    """One part of all entries; `usual` are the usual lengths of texts, its own where none are given.

    They are taken some at a time, so that none need be held together: numbers are all that stays of them.
    """
    texts, covered, defects = TextRows(vocabulary), StandingRows(), DefectRows()
    coming = _past_concerns_last(entries)
    while some := list(islice(coming, AT_A_TIME)):
        for rows in (texts, covered, defects):
            rows.take(some)
    segment = Segment.of(texts.made(), vocabulary, weights, usual)
    return Part(segment, Standing(covered.made(), families), defects.made())


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
