"""The search index: built from a stream of entries, changed one note at a time, read by many threads.

Readers work on an immutable snapshot that a writer replaces in one step. A snapshot holds segments: one
large, some middling and one small that is rebuilt with every saved note; replaced and removed notes are
marked in their old segment. A change of the lexicon recounts the changed concepts only.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from threading import Lock

import numpy as np
from numpy.typing import NDArray

from kb.nouns.vehicles import Vehicle
from kb.search.answer import answer
from kb.search.meaning import Meaning, meaning_of
from kb.search.query import Id, IndexEntry, Query, SearchAnswer
from kb.search.same.one_defect import others_of
from kb.search.same.same_thing import Complaint, same_thing
from kb.search.same.sharing import Shared, sharing
from kb.search.segment import Segment
from kb.search.snapshot import Defects, Part, Snapshot
from kb.search.text import read_text
from kb.search.vehicle.standing import Standing
from kb.search.vocabulary import Vocabulary
from kb.search.weights import Weights
from kb.vehicle.families import Families, families_on_file
from kb.words.lexicon import Lexicon
from kb.words.spelling import Speller, make_speller

SMALL = 128  # notes at most in the part that is made anew with every put
MIDDLE = 1_024  # notes at most in the part that takes in the small one
Progress = Callable[[int], None]


class SearchIndex:
    """Notes and past concerns, searchable. All methods may be called from any thread."""

    def __init__(self, snapshot: Snapshot, vocabulary: Vocabulary) -> None:
        self._snapshot = snapshot
        self._vocabulary = vocabulary
        self._settled = snapshot.parts
        self._middle: _Growing = _Growing((), ())
        self._small: _Growing = _Growing((), ())
        self._writing = Lock()

    @classmethod
    def build(
        cls,
        entries: Iterable[IndexEntry],
        lexicon: Lexicon,
        progress: Progress | None = None,
        weights: Weights | None = None,
        families: Families | None = None,
    ) -> SearchIndex:
        """An index of all entries. `progress` is told how many entries were taken, every 10,000."""
        weights, families = weights or Weights(), families or families_on_file()
        vocabulary = Vocabulary()
        part = _part(list(_counted(entries, progress)), vocabulary, weights, None, families)
        speller = _speller((part,), vocabulary, lexicon)
        snapshot = Snapshot((part,), lexicon, speller, weights, vocabulary, families)
        return cls(snapshot.ready(), vocabulary)

    def __len__(self) -> int:
        return self._snapshot.total

    def put(self, entry: IndexEntry) -> None:
        """Add a note, or replace the one with its id and kind; the next search finds it."""
        self.put_all((entry,))

    def put_all(self, entries: Iterable[IndexEntry], gone: Collection[Id] = ()) -> None:
        """Put many entries and take those of `gone` out, in one step: no search sees a part of it."""
        latest = {(entry.id, entry.kind): entry for entry in entries}
        with self._writing:
            known, held = len(self._vocabulary), self._parts
            self._take_out({*latest, *gone})
            if len(latest) > SMALL:
                self._settled = (*self._settled, self._made(tuple(latest.values())))
            elif latest:
                self._grow(tuple(latest.values()))
            segments = {id(part.segment) for part in held}
            self._learn([part for part in self._parts if id(part.segment) not in segments], known)
            self._publish()

    def remove(self, id: int, kind: str) -> None:  # noqa: A002 - the note's id is called id everywhere
        """Take a note out; nothing happens if it is not there."""
        with self._writing:
            before = self._parts
            self._take_out(((id, kind),))
            if any(old is not new for old, new in zip(before, self._parts, strict=True)):
                self._publish()

    def use_lexicon(self, lexicon: Lexicon) -> None:
        """Search by another lexicon from the next query on; unchanged concepts are not counted again."""
        with self._writing:
            speller = _speller(self._snapshot.parts, self._vocabulary, lexicon)
            self._snapshot = replace(self._snapshot, lexicon=lexicon, speller=speller)
            self._settled = tuple(replace(part, worth=()) for part in self._settled)
            self._middle, self._small = self._middle.unweighed(), self._small.unweighed()
            self._publish()

    def use_families(self, families: Families) -> None:
        """Read names of models by other families from the next query on."""
        with self._writing:
            self._snapshot = replace(self._snapshot, families=families)
            self._settled = tuple(part.with_families(families) for part in self._settled)
            self._middle, self._small = (
                _Growing(one.entries, tuple(part.with_families(families) for part in one.parts))
                for one in (self._middle, self._small)
            )
            self._publish()

    @property
    def families(self) -> Families:
        """The families that names of models are read by."""
        return self._snapshot.families

    def covering(self, vehicle: Vehicle) -> tuple[tuple[int, str], ...]:
        """(id, kind) of every entry that names a vehicle on record, or may mean it by its family's name."""
        found = self._snapshot.covering(vehicle)
        return tuple(part.identity(note) for part, notes in found for note in notes.tolist())

    def sharing(
        self, vehicle: Vehicle, text: str, codes: Sequence[str], modules: Sequence[str]
    ) -> tuple[Shared, ...]:
        """(id, kind, words shared) of the entries for a vehicle that touch a complaint or its modules."""
        return tuple(sharing(self._snapshot, vehicle, text, codes, modules))

    def same_thing(self, now: Complaint, before: Complaint) -> tuple[str, ...]:
        """The words by which a new complaint is about the same thing as an older one."""
        return same_thing(self._snapshot, now, before)

    def of_one_defect(self, note_id: int, keys: Collection[str] = ()) -> tuple[Id, ...]:
        """(id, kind) of the other notes of a note's defect, or of a text's that is known by `keys`."""
        return others_of(self._snapshot, note_id, keys)

    @property
    def opposites(self) -> dict[str, str]:
        """Concepts of conditions that cannot be at the same time, each way."""
        concepts = self._snapshot.lexicon.concepts.values()
        return {one.id: one.opposite for one in concepts if one.opposite}

    def meaning(self, text: str) -> Meaning:
        """What a text says, read by the lexicon and the spelling of the moment."""
        return meaning_of(text, self._snapshot.lexicon, self._snapshot.speller)

    def search(self, query: Query) -> SearchAnswer:
        """The best notes for a complaint. Never raises for what is typed; says why when there is nothing."""
        return answer(self._snapshot, query)

    @property
    def speller(self) -> Speller:
        """The spelling of what is searched now."""
        return self._snapshot.speller

    @property
    def _parts(self) -> tuple[Part, ...]:
        return (*self._settled, *self._middle.parts, *self._small.parts)

    def _take_out(self, ids: Collection[Id]) -> None:
        self._settled = tuple(part.without(ids) for part in self._settled)
        self._middle, self._small = self._middle.without(ids), self._small.without(ids)

    def _grow(self, entries: tuple[IndexEntry, ...]) -> None:
        """Add to the small part; a full small part goes into the middle one, a full middle one settles."""
        held = (*self._small.entries, *entries)
        if len(held) <= SMALL:
            self._small = _Growing(held, (self._made(held),))
            return
        held = (*self._middle.entries, *held)
        self._small = _Growing((), ())
        self._middle = _Growing(held, (self._made(held),))
        if len(held) >= MIDDLE:
            self._settled, self._middle = (*self._settled, *self._middle.parts), _Growing((), ())

    def _made(self, entries: tuple[IndexEntry, ...]) -> Part:
        first = self._settled[0].segment
        usual = first.usual if first.size else None
        snapshot = self._snapshot
        return _part(entries, self._vocabulary, snapshot.weights, usual, snapshot.families)

    def _learn(self, made: Sequence[Part], known: int) -> None:
        """Let the spelling know the words of parts just made, and those numbered since `known`."""
        words = self._vocabulary.words_from(0)
        counts = _note_counts(made, len(words))
        speller = self._snapshot.speller.extended([words[at] for at in np.flatnonzero(counts)], words[known:])
        self._snapshot = replace(self._snapshot, speller=speller)

    def _publish(self) -> None:
        """Show readers the parts as they stand."""
        self._snapshot = replace(self._snapshot, parts=self._parts).ready()
        settled, middle = len(self._settled), len(self._middle.parts)
        self._settled = self._snapshot.parts[:settled]
        self._middle = replace(self._middle, parts=self._snapshot.parts[settled : settled + middle])
        self._small = replace(self._small, parts=self._snapshot.parts[settled + middle :])


@dataclass(frozen=True, slots=True)
class _Growing:
    """Entries that will be indexed again together with more, and the one part they make now, or none."""

    entries: tuple[IndexEntry, ...]
    parts: tuple[Part, ...]

    def without(self, ids: Collection[Id]) -> _Growing:
        kept = tuple(entry for entry in self.entries if (entry.id, entry.kind) not in ids)
        return _Growing(kept, tuple(part.without(ids) for part in self.parts))

    def unweighed(self) -> _Growing:
        return _Growing(self.entries, tuple(replace(part, worth=()) for part in self.parts))


def _counted(entries: Iterable[IndexEntry], progress: Progress | None) -> Iterable[IndexEntry]:
    for count, entry in enumerate(entries, 1):
        if progress is not None and count % 10_000 == 0:
            progress(count)
        yield entry


def _part(
    entries: Sequence[IndexEntry],
    vocabulary: Vocabulary,
    weights: Weights,
    usual: NDArray[np.float64] | None,
    families: Families,
) -> Part:
    entries = sorted(entries, key=lambda entry: entry.kind == "concern")
    segment = Segment(read_text(entries, vocabulary), vocabulary, weights, usual)
    return Part(segment, Standing(entries, families), Defects.of(entries))


def _speller(parts: Sequence[Part], vocabulary: Vocabulary, lexicon: Lexicon) -> Speller:
    """A customer's slip of the pen is no word: notes and the lexicon say what is, past concerns do not."""
    words = vocabulary.words_from(0)
    counts = _note_counts(parts, len(words))
    noted = {words[at]: int(counts[at]) for at in np.flatnonzero(counts)}
    heard = [words[at] for at in np.flatnonzero(counts[1:] == 0) + 1]
    return make_speller(noted, lexicon.words, heard)


def _note_counts(parts: Sequence[Part], words: int) -> NDArray[np.int64]:
    """How often each word is written in notes."""
    counts = np.zeros(words, dtype=np.int64)
    for part in parts:
        counts += part.segment.counts_in_notes(words)
    counts[0] = 0  # the separator
    return counts
