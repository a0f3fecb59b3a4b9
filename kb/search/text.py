"""Notes as streams of word numbers, run of text by run of text."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kb.search.query import KINDS, IndexEntry
from kb.search.vocabulary import Vocabulary
from kb.search.weights import FIELDS

FIELD = {name: number for number, name in enumerate(FIELDS)}
_CHUNK = 4_000

Ints = NDArray[np.int32]


@dataclass(frozen=True, slots=True)
class Text:
    """Notes as streams of word numbers: `words`, and for each run of text its end, note and field."""

    keys: NDArray[np.int64]
    kinds: NDArray[np.int8]
    words: Ints
    run_ends: Ints
    run_notes: Ints
    run_fields: NDArray[np.int8]

    @property
    def size(self) -> int:
        return len(self.keys)


def _runs(entry: IndexEntry) -> Iterable[tuple[int, str]]:
    if entry.title:
        yield FIELD["title"], entry.title
    if entry.symptom:
        yield FIELD["symptom"], entry.symptom
    if entry.body:
        yield FIELD["body"], entry.body
    for document in entry.documents:
        yield FIELD["document"], document
    if entry.codes:
        yield FIELD["codes"], " ".join(entry.codes)
    if entry.modules:
        yield FIELD["modules"], " ".join(entry.modules)
    if entry.coverage:
        yield FIELD["vehicle"], " ".join(dict.fromkeys(f"{c.make} {c.model}" for c in entry.coverage))


def read_text(entries: Sequence[IndexEntry], vocabulary: Vocabulary) -> Text:
    """The entries' texts as numbers; their note numbers are their places in `entries`."""
    parts: list[Ints] = []
    notes: list[int] = []
    fields: list[int] = []
    for start in range(0, len(entries), _CHUNK):
        texts: list[str] = []
        for note, entry in enumerate(entries[start : start + _CHUNK], start):
            for field, text in _runs(entry):
                texts.append(text)
                notes.append(note)
                fields.append(field)
        parts.append(vocabulary.number(texts))
    words = np.concatenate(parts) if parts else np.empty(0, np.int32)
    return Text(
        np.array([entry.id for entry in entries], dtype=np.int64),
        np.array([KINDS.index(entry.kind) for entry in entries], dtype=np.int8),
        words,
        np.flatnonzero(words == 0).astype(np.int32),
        np.array(notes, dtype=np.int32),
        np.array(fields, dtype=np.int8),
    )
