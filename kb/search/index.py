"""The search index: built from a stream of entries, changed one note at a time, read by many threads.

Readers work on an immutable snapshot that a writer replaces in one step. A snapshot holds segments: one
large, some middling and one small that is rebuilt with every saved note; replaced and removed notes are
marked in their old segment. A change of the lexicon recounts the changed concepts only.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from threading import Lock

import numpy as np

from kb.nouns.vehicles import Vehicle
from kb.search.answer import answer
from kb.search.growing import Held
from kb.search.making import Rows, note_counts, speller_of
from kb.search.meaning import Meaning, meaning_of
from kb.search.query import Id, IndexEntry, Query, SearchAnswer
from kb.search.same.one_defect import others_of
from kb.search.same.same_thing import Complaint, same_thing
from kb.search.same.sharing import Shared, sharing
from kb.search.snapshot import Part, Snapshot
from kb.search.stored.packing import Packed, packed, unpacked
from kb.search.vocabulary import Vocabulary
from kb.search.weights import Weights
from kb.vehicle.families import Families, families_on_file
from kb.words.lexicon import Lexicon
from kb.words.spelling import Speller


class SearchIndex:
    """Notes and past concerns, searchable. All methods may be called from any thread."""

    def __init__(self, snapshot: Snapshot, vocabulary: Vocabulary) -> None:
        self._snapshot = snapshot
        self._vocabulary = vocabulary
        self._held = Held(snapshot.parts)
        self._writing = Lock()

    @classmethod
    def build(
        cls,
        entries: Iterable[IndexEntry],
        lexicon: Lexicon,
        weights: Weights | None = None,
        families: Families | None = None,
    ) -> SearchIndex:
        """An index of all entries."""
        return cls.of_rows(Rows().take(entries), lexicon, families or families_on_file(), weights)

    @classmethod
    def of_rows(
        cls, rows: Rows, lexicon: Lexicon, families: Families, weights: Weights | None = None
    ) -> SearchIndex:
        """The index of what was taken in."""
        weights = weights or Weights()
        part = rows.part(weights, None, families)
        return cls._over(part, rows.vocabulary, lexicon, weights, families)

    @classmethod
    def of_packed(
        cls, told: Packed, lexicon: Lexicon, families: Families, weights: Weights | None = None
    ) -> SearchIndex:
        """The index that `packed` told of, by the lexicon and families of the moment."""
        part, vocabulary = unpacked(told, lexicon, families)
        return cls._over(part, vocabulary, lexicon, weights or Weights(), families)

    @classmethod
    def _over(
        cls, part: Part, vocabulary: Vocabulary, lexicon: Lexicon, weights: Weights, families: Families
    ) -> SearchIndex:
        speller = speller_of((part,), vocabulary, lexicon)
        snapshot = Snapshot((part,), lexicon, speller, weights, vocabulary, families)
        return cls(snapshot.ready(), vocabulary)

    def packed(self) -> Packed:
        """All that an index rests on which was built and not changed since, as arrays that a file can hold.

        Raises ValueError after a change.
        """
        (part,) = self._snapshot.parts
        return packed(part, self._vocabulary, self._snapshot.lexicon)

    def __len__(self) -> int:
        return self._snapshot.total

    def put(self, entry: IndexEntry) -> None:
        """Add a note, or replace the one with its id and kind; the next search finds it."""
        self.put_all((entry,))

    def put_all(self, entries: Iterable[IndexEntry], gone: Collection[Id] = ()) -> None:
        """Put many entries and take those of `gone` out, in one step: no search sees a part of it."""
        latest = {(entry.id, entry.kind): entry for entry in entries}
        with self._writing:
            known, before = len(self._vocabulary), {id(part.segment) for part in self._held.parts}
            held = self._held.without({*latest, *gone})
            if latest:
                held = held.with_more(tuple(latest.values()), self._made)
            self._learn([part for part in held.parts if id(part.segment) not in before], known)
            self._publish(held)

    def remove(self, id: int, kind: str) -> None:  # noqa: A002 - the note's id is called id everywhere
        """Take a note out; nothing happens if it is not there."""
        with self._writing:
            held = self._held.without(((id, kind),))
            if any(old is not new for old, new in zip(self._held.parts, held.parts, strict=True)):
                self._publish(held)

    def use_lexicon(self, lexicon: Lexicon) -> None:
        """Search by another lexicon from the next query on; unchanged concepts are not counted again."""
        with self._writing:
            speller = speller_of(self._snapshot.parts, self._vocabulary, lexicon)
            self._snapshot = replace(self._snapshot, lexicon=lexicon, speller=speller)
            self._publish(self._held.each(lambda part: replace(part, worth=())))

    def use_families(self, families: Families) -> None:
        """Read names of models by other families from the next query on."""
        with self._writing:
            self._snapshot = replace(self._snapshot, families=families)
            self._publish(self._held.each(lambda part: part.with_families(families)))

    @property
    def lexicon(self) -> Lexicon:
        """What it reads by."""
        return self._snapshot.lexicon

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

    def _made(self, entries: tuple[IndexEntry, ...]) -> Part:
        first = self._held.settled[0].segment
        usual = first.columns.usual if first.size else None
        snapshot = self._snapshot
        rows = Rows(self._vocabulary).take(entries)
        return rows.part(snapshot.weights, usual, snapshot.families)

    def _learn(self, made: Sequence[Part], known: int) -> None:
        """Let the spelling know the words of parts just made, and those numbered since `known`."""
        counts = note_counts(made, len(self._vocabulary))
        noted = [self._vocabulary.word(at) for at in np.flatnonzero(counts).tolist()]
        speller = self._snapshot.speller.extended(noted, self._vocabulary.words_from(known))
        self._snapshot = replace(self._snapshot, speller=speller)

    def _publish(self, held: Held) -> None:
        """Show readers these parts."""
        self._snapshot = replace(self._snapshot, parts=held.parts).ready()
        self._held = held.shown(self._snapshot.parts)
