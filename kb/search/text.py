"""Notes as streams of word numbers, run of text by run of text."""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kb.search.query import KINDS, IndexEntry
from kb.search.vocabulary import Vocabulary
from kb.search.weights import FIELDS
from kb.words.defect import defect_and_rest, pairs_of_remedy
from kb.words.normalise import words as words_of

FIELD = {name: number for number, name in enumerate(FIELDS)}
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
    """(field, what of it says what the note is about, the rest) of each text; documents are not parted."""
    if entry.title:
        yield FIELD["drawn_title" if entry.documents else "title"], entry.title, ""
    if entry.symptom or entry.conditions:
        yield FIELD["symptom"], entry.symptom, entry.conditions
    if entry.body:
        yield FIELD["body"], "", entry.body
    for document in entry.documents:
        yield FIELD["document"], document, ""
    if entry.codes:
        yield FIELD["codes"], "", " ".join(entry.codes)
    if entry.modules:
        yield FIELD["modules"], " ".join(entry.modules), ""
    if entry.coverage:
        yield FIELD["vehicle"], "", " ".join(dict.fromkeys(f"{c.make} {c.model}" for c in entry.coverage))


class TextRows:
    """Takes entries in, some at a time; their note numbers are their places among all that were taken."""

    def __init__(self) -> None:
        self._words: list[Ints] = []
        self._keys, self._kinds = array("q"), array("b")
        self._notes, self._fields, self._heads = array("i"), array("b"), array("i")

    def take(self, entries: Sequence[IndexEntry], vocabulary: Vocabulary) -> None:
        texts: list[str] = []
        begun = len(self._fields)
        for note, entry in enumerate(entries, len(self._keys)):
            for field, telling, rest in _runs(entry):
                texts.append(f"{telling} {rest}" if rest else telling)
                self._heads.append(_WHOLE if not rest else len(words_of(telling)) if telling else 0)
                self._notes.append(note)
                self._fields.append(field)
        self._keys.extend([entry.id for entry in entries])
        self._kinds.extend([KINDS.index(entry.kind) for entry in entries])
        numbers = vocabulary.number(texts)
        self._words.append(numbers)
        for at, begins in _remedy_begins(numbers, vocabulary).items():
            if self._fields[begun + at] == FIELD["document"]:
                head, rest = defect_and_rest(texts[at], begins)
                self._heads[begun + at] = len(words_of(head)) if rest else _WHOLE

    def join(self, other: TextRows, numbers: Ints) -> None:
        """Take in what another took; `numbers` are those of its words here."""
        self._words.extend(numbers[words] for words in other._words)
        self._notes.frombytes((np.array(other._notes, dtype=np.int32) + len(self._keys)).tobytes())
        for name in ("_keys", "_kinds", "_fields", "_heads"):
            getattr(self, name).extend(getattr(other, name))

    def made(self) -> Text:
        """What was taken."""
        words = np.concatenate([np.empty(0, np.int32), *self._words])
        ends = np.flatnonzero(words == 0).astype(np.int32)
        starts = np.concatenate(([0], ends[:-1] + 1)) if len(ends) else ends
        heads = np.array(self._heads, dtype=np.int64)
        return Text(
            np.array(self._keys, dtype=np.int64),
            np.array(self._kinds, dtype=np.int8),
            words,
            ends,
            np.array(self._notes, dtype=np.int32),
            np.array(self._fields, dtype=np.int8),
            np.minimum(starts + heads, ends).astype(np.int32),
        )


def _remedy_begins(numbers: Ints, vocabulary: Vocabulary) -> dict[int, set[str]]:
    """By run the words with which it may begin to speak of the remedy. Few runs have any, and numbers tell it
    of all at once.
    """
    first, then = (np.zeros(len(vocabulary), dtype=np.int32) for _ in range(2))
    written: dict[int, str] = {}
    before_any = 0
    for at, (words, behind) in enumerate(pairs_of_remedy()):
        known = {
            number: words[word] for word in words if (number := vocabulary.word_number(word)) is not None
        }
        first[list(known)] |= 1 << at
        then[[one for one in map(vocabulary.word_number, behind) if one is not None]] |= 1 << at
        before_any |= 0 if behind else 1 << at
        written |= known
    found = first[numbers[:-1]]
    found &= then[numbers[1:]] | before_any
    places = np.flatnonzero(found)
    begins: dict[int, set[str]] = {}
    runs = np.flatnonzero(numbers == 0).searchsorted(places)
    for run, number in zip(runs.tolist(), numbers[places].tolist(), strict=True):
        begins.setdefault(run, set()).add(written[number])
    return begins


def read_text(entries: Sequence[IndexEntry], vocabulary: Vocabulary) -> Text:
    """The entries' texts as numbers."""
    rows = TextRows()
    rows.take(entries, vocabulary)
    return rows.made()
