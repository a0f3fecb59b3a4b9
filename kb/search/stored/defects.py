"""By what the notes of a part are of one defect with others, as arrays: a key is kept as a number."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from hashlib import blake2b

import numpy as np
from numpy.typing import NDArray

from kb.search.query import IndexEntry


@lru_cache(maxsize=4_096)
def key_number(key: str) -> int:
    """A key in 64 bits, the same in every process: of a million keys two are one in 1 of 30 million files."""
    return int.from_bytes(blake2b(key.encode(), digest_size=8).digest(), "little")


@dataclass(frozen=True, slots=True)
class Defects:
    """`keys` by note, each note's from one of `key_ends` to the next; `known` are all keys, ascending, each
    with its `notes` between two of `note_ends`.
    """

    keys: NDArray[np.uint64]
    key_ends: NDArray[np.int32]
    known: NDArray[np.uint64]
    notes: NDArray[np.int32]
    note_ends: NDArray[np.int32]

    def keys_of(self, note: int) -> set[int]:
        """The keys of a note, as numbers."""
        return set(self.keys[self.key_ends[note] : self.key_ends[note + 1]].tolist())

    def notes_of(self, keys: Iterable[int]) -> set[int]:
        """The notes that have one of some keys."""
        found: set[int] = set()
        for key in keys:
            at = int(self.known.searchsorted(np.uint64(key)))
            if at < len(self.known) and int(self.known[at]) == key:
                found.update(self.notes[self.note_ends[at] : self.note_ends[at + 1]].tolist())
        return found


class DefectRows:
    """Takes entries in, some at a time."""

    def __init__(self) -> None:
        self._keys: list[NDArray[np.uint64]] = []
        self._counts: list[NDArray[np.int32]] = []

    def take(self, entries: Sequence[IndexEntry]) -> None:
        # in order: that of a set is another in every process
        numbers = [number for entry in entries for number in sorted(map(key_number, entry.same_as))]
        self._keys.append(np.array(numbers, dtype=np.uint64))
        self._counts.append(np.array([len(entry.same_as) for entry in entries], dtype=np.int32))

    def join(self, other: DefectRows) -> None:
        """Take in what another took."""
        self._keys.extend(other._keys)
        self._counts.extend(other._counts)

    def made(self) -> Defects:
        """What was taken, by note and by key."""
        counts = np.concatenate([np.empty(0, np.int32), *self._counts])
        keys = np.concatenate([np.empty(0, np.uint64), *self._keys])
        notes = np.repeat(np.arange(len(counts), dtype=np.int32), counts)
        order = np.argsort(keys, kind="stable")
        known, firsts = np.unique(keys[order], return_index=True)
        return Defects(
            keys, _ends(counts), known, notes[order], np.append(firsts, len(keys)).astype(np.int32)
        )


def _ends(counts: NDArray[np.int32]) -> NDArray[np.int32]:
    return np.concatenate(([0], np.cumsum(counts))).astype(np.int32)
