"""Notes as streams of word numbers, run of text by run of text."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kb.search.query import KINDS, IndexEntry
from kb.search.vocabulary import Vocabulary
from kb.search.weights import FIELDS
from kb.words.defect import defect_and_rest
from kb.words.normalise import words as words_of

FIELD = {name: number for number, name in enumerate(FIELDS)}
_CHUNK = 4_000
_WHOLE = 2**30  # more words than any run has

Ints = NDArray[np.int32]


@dataclass(frozen=True, slots=True)
class Text:
    """Notes as streams of word numbers: `words`, and for each run of text its end, note and field.

    `telling` is where the part of a run ends that says what its note is about (where it starts: none does).
    """

    keys: NDArray[np.int64]
    kinds: NDArray[np.int8]
    words: Ints
    run_ends: Ints
    run_notes: Ints
    run_fields: NDArray[np.int8]
    telling: Ints

    @property
    def size(self) -> int:
        return len(self.keys)


def _runs(entry: IndexEntry) -> Iterable[tuple[int, str, str]]:
    """(field, what of it says what the note is about, the rest) of each text."""
    if entry.title:
        yield FIELD["drawn_title" if entry.documents else "title"], entry.title, ""
    if entry.symptom or entry.conditions:
        yield FIELD["symptom"], entry.symptom, entry.conditions
    if entry.body:
        yield FIELD["body"], "", entry.body
    for document in entry.documents:
        yield FIELD["document"], *defect_and_rest(document)
    if entry.codes:
        yield FIELD["codes"], "", " ".join(entry.codes)
    if entry.modules:
        yield FIELD["modules"], " ".join(entry.modules), ""
    if entry.coverage:
        yield FIELD["vehicle"], "", " ".join(dict.fromkeys(f"{c.make} {c.model}" for c in entry.coverage))


def read_text(entries: Sequence[IndexEntry], vocabulary: Vocabulary) -> Text:
    """The entries' texts as numbers; their note numbers are their places in `entries`."""
    parts: list[Ints] = []
    notes: list[int] = []
    fields: list[int] = []
    heads: list[int] = []
    for start in range(0, len(entries), _CHUNK):
        texts: list[str] = []
        for note, entry in enumerate(entries[start : start + _CHUNK], start):
            for field, telling, rest in _runs(entry):
                texts.append(f"{telling} {rest}")
                heads.append(len(words_of(telling)) if rest else _WHOLE)
                notes.append(note)
                fields.append(field)
        parts.append(vocabulary.number(texts))
    words = np.concatenate(parts) if parts else np.empty(0, np.int32)
    ends = np.flatnonzero(words == 0).astype(np.int32)
    starts = np.concatenate(([0], ends[:-1] + 1)) if len(ends) else ends
    return Text(
        np.array([entry.id for entry in entries], dtype=np.int64),
        np.array([KINDS.index(entry.kind) for entry in entries], dtype=np.int8),
        words,
        ends,
        np.array(notes, dtype=np.int32),
        np.array(fields, dtype=np.int8),
        np.minimum(starts + np.array(heads, dtype=np.int64), ends).astype(np.int32),
    )
