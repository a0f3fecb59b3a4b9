"""The search index: built from a stream of entries, changed one note at a time, read by many threads.

Readers work on an immutable snapshot that a writer replaces in one step. A snapshot holds segments: one
large, some middling and one small that is rebuilt with every saved note; replaced and removed notes are
marked in their old segment. A change of the lexicon recounts the changed concepts only.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from threading import Lock

import numpy as np
from numpy.typing import NDArray

from kb.search.answer import answer
from kb.search.query import KINDS, IndexEntry, Query, SearchAnswer
from kb.search.ranking import Weights
from kb.search.segment import Segment, read_text
from kb.search.snapshot import Part, Snapshot
from kb.search.standing import Standing
from kb.search.vocabulary import Vocabulary
from kb.words.lexicon import Lexicon
from kb.words.spelling import Speller

SMALL = 128  # notes in the segment that is rebuilt with every put
Progress = Callable[[int], None]


class SearchIndex:
    """Notes and past concerns, searchable. All methods may be called from any thread."""

    def __init__(self, snapshot: Snapshot, vocabulary: Vocabulary) -> None:
        self._snapshot = snapshot
        self._vocabulary = vocabulary
        self._fresh: list[IndexEntry] = []
        self._writing = Lock()

    @classmethod
    def build(
        cls,
        entries: Iterable[IndexEntry],
        lexicon: Lexicon,
        progress: Progress | None = None,
        weights: Weights | None = None,
    ) -> SearchIndex:
        """An index of all entries. `progress` is told how many entries were taken, now and then."""
        weights = weights or Weights()
        vocabulary = Vocabulary()
        taken = list(_counted(entries, progress))
        part = _part(taken, vocabulary, weights, None)
        snapshot = Snapshot(
            (part,), lexicon, _speller(part.segment, vocabulary, lexicon), weights, vocabulary
        )
        return cls(snapshot.ready(), vocabulary)

    def __len__(self) -> int:
        return self._snapshot.total

    def put(self, entry: IndexEntry) -> None:
        """Add a note, or replace the one with its id and kind."""
        with self._writing:
            parts = self._without(entry.id, entry.kind)
            known = len(self._vocabulary)
            self._fresh.append(entry)
            usual = parts[0].segment.usual if parts[0].segment.size else None
            newest = _part(self._fresh, self._vocabulary, self._snapshot.weights, usual)
            self._swap((*parts, newest), known)
            if len(self._fresh) >= SMALL:
                self._fresh = []

    def remove(self, id: int, kind: str) -> None:  # noqa: A002 - the note's id is called id everywhere
        """Take a note out; nothing happens if it is not there."""
        with self._writing:
            parts = self._without(id, kind)
            if self._fresh:
                newest = _part(self._fresh, self._vocabulary, self._snapshot.weights, parts[0].segment.usual)
                parts = (*parts, newest)
            self._swap(parts, len(self._vocabulary))

    def use_lexicon(self, lexicon: Lexicon) -> None:
        """Search by another lexicon from the next query on; unchanged concepts are not counted again."""
        with self._writing:
            old = self._snapshot
            speller = _speller(old.parts[0].segment, self._vocabulary, lexicon)
            parts = tuple(replace(part, worth=None) for part in old.parts)
            self._snapshot = replace(old, parts=parts, lexicon=lexicon, speller=speller).ready()

    def search(self, query: Query) -> SearchAnswer:
        """The best notes for a complaint. Never raises for what is typed; says why when there is nothing."""
        return answer(self._snapshot, query)

    def _without(self, id: int, kind: str) -> tuple[Part, ...]:  # noqa: A002 - as above
        """The parts without the small newest one, the note taken out of all of them and of the fresh ones."""
        parts = self._snapshot.parts
        if self._fresh:
            parts = parts[:-1]
            self._fresh = [e for e in self._fresh if (e.id, e.kind) != (id, kind)]
        return tuple(part.without(id, KINDS.index(kind)) for part in parts)

    def _swap(self, parts: tuple[Part, ...], known: int) -> None:
        speller = self._snapshot.speller.extended(self._vocabulary.words_from(known))
        self._snapshot = replace(self._snapshot, parts=parts, speller=speller).ready()


def _counted(entries: Iterable[IndexEntry], progress: Progress | None) -> Iterable[IndexEntry]:
    for count, entry in enumerate(entries, 1):
        if progress is not None and count % 10_000 == 0:
            progress(count)
        yield entry


def _part(
    entries: Sequence[IndexEntry], vocabulary: Vocabulary, weights: Weights, usual: NDArray[np.float64] | None
) -> Part:
    segment = Segment(read_text(entries, vocabulary), vocabulary, weights, usual)
    return Part(segment, Standing(entries), np.ones(len(entries), dtype=bool))


def _speller(segment: Segment, vocabulary: Vocabulary, lexicon: Lexicon) -> Speller:
    counts = np.bincount(segment.text.words, minlength=len(vocabulary)).tolist()
    words = vocabulary.words_from(0)
    return Speller({words[at]: counts[at] for at in range(1, len(words)) if counts[at]}, lexicon.words)
