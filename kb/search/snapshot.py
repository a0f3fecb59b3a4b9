"""What a reader sees: an unchanging set of segments with the lexicon and the spelling of the moment."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from kb.nouns.vehicles import Vehicle
from kb.search.belonging import TELLING, bit_of
from kb.search.query import KINDS
from kb.search.ranking import NOTHING, REMEDY, Postings, note_worth
from kb.search.reading import Key
from kb.search.segment import Segment
from kb.search.stored.at_once import at_once
from kb.search.stored.defects import Defects
from kb.search.vehicle.standing import Eligible, Standing
from kb.search.vocabulary import Vocabulary
from kb.search.weights import Weights
from kb.vehicle.families import Families
from kb.words.concepts import Stems
from kb.words.lexicon import Lexicon
from kb.words.spelling import Speller

MOST_KNOWN = 4_096
MUCH = 20_000
"""Of so many notes concepts are counted by several threads."""
Made = TypeVar("Made")
Numbered = tuple[tuple[int, ...], Stems]
"""A phrase as numbers of stems, and in stems."""


@dataclass(frozen=True, slots=True)
class Part:
    """A segment, what its notes are for, the notes replaced or removed since, and what each note is worth.

    `worth` has one array for a query without a vehicle and one for a query with it; empty until `ready`.
    `systems` holds the bits of the systems that each note tells of (kb/search/about.py).
    """

    segment: Segment
    standing: Standing
    defects: Defects
    dead: tuple[int, ...] = ()
    worth: tuple[NDArray[np.float32], ...] = ()
    systems: NDArray[np.int32] = field(default_factory=lambda: np.empty(0, np.int32))

    def with_families(self, families: Families) -> Part:
        return replace(self, standing=self.standing.with_families(families))

    def identity(self, note: int) -> tuple[int, str]:
        """The id and kind of a note."""
        text = self.segment.text
        return int(text.keys[note]), KINDS[text.kinds[note]]

    def eligible(self, vehicle: Vehicle, recorded: bool) -> Eligible | None:
        """The notes not ruled out for a vehicle and not gone; None when nothing of a vehicle was said."""
        found = self.standing.eligible(vehicle, recorded)
        if found is None or not self.dead:
            return found
        kept = np.isin(found.notes, self.dead, invert=True)
        return Eligible(found.notes[kept], found.standing[kept])

    def without(self, ids: Collection[tuple[int, str]]) -> Part:
        """The part with the notes of these ids and kinds marked as gone."""
        text = self.segment.text
        gone = {
            int(at)
            for at in np.flatnonzero(np.isin(text.keys, [number for number, _ in ids]))
            if (int(text.keys[at]), KINDS[text.kinds[at]]) in ids
        }
        return replace(self, dead=tuple({*self.dead, *gone})) if gone - set(self.dead) else self


@dataclass(frozen=True)
class Snapshot:
    """Everything one search needs; never changed once made."""

    parts: tuple[Part, ...]
    lexicon: Lexicon
    speller: Speller
    weights: Weights
    vocabulary: Vocabulary
    families: Families
    _on_file: dict[object, Sequence[Numbered]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    _last: dict[str, tuple[object, Any]] = field(default_factory=dict, init=False, repr=False, compare=False)

    def once(self, what: str, key: object, make: Callable[[], Made]) -> Made:
        """What was made of a key, kept until another key is asked for: notes and past vehicles are searched
        one after the other for one text, which is read once.
        """
        known = self._last.get(what)
        if known is None or known[0] != key:
            known = self._last[what] = key, make()
        made: Made = known[1]
        return made

    def on_file(self, key: object, phrases: Callable[[], Sequence[Stems]]) -> Sequence[Numbered]:
        """Those of some phrases whose words are all on file, with the numbers of their stems. Asked for one
        `key`, they are worked out once.
        """
        found = self._on_file.get(key)
        if found is None:
            if len(self._on_file) > MOST_KNOWN:
                self._on_file.clear()
            found = self._on_file[key] = [
                (numbers, one)
                for one in phrases()
                for known in [tuple(map(self.vocabulary.stem_number, one))]
                for numbers in [tuple(number for number in known if number is not None)]
                if numbers and len(numbers) == len(known)
            ]
        return found

    @property
    def total(self) -> int:
        return sum(part.segment.size - len(part.dead) for part in self.parts)

    def covering(self, vehicle: Vehicle) -> Iterator[tuple[Part, NDArray[np.int32]]]:
        """By part, the notes that name a vehicle on record, or may mean it, whatever was typed."""
        for part in self.parts:
            notes = part.standing.covering(vehicle)
            yield part, notes[np.isin(notes, part.dead, invert=True)]

    def postings(self, part: Part, key: Key) -> Postings:
        """Where a term occurs in one part."""
        what, name = key
        if what == "concept":
            concept = self.lexicon.concepts.get(name)
            return NOTHING if concept is None else part.segment.concept_postings(concept, self.vocabulary)
        return part.segment.word_postings(self.vocabulary.stem_number(name))

    def ready(self) -> Snapshot:
        """The same with all concepts counted and all notes' worth known, so that the first query is fast."""
        return replace(self, parts=tuple(self._weighed(part) for part in self.parts))

    def _weighed(self, part: Part) -> Part:
        if part.worth:
            return part
        if part.segment.size >= MUCH:
            concepts = list(self.lexicon.concepts.values())
            at_once(lambda one: part.segment.concept_postings(one, self.vocabulary), concepts)
        remedy, stems = self.postings(part, ("concept", REMEDY)), part.segment.columns.distinct
        worth = tuple(note_worth(stems, remedy, self.weights.where(known)) for known in (False, True))
        return replace(part, worth=worth, systems=self._systems(part.segment))

    def _systems(self, segment: Segment) -> NDArray[np.int32]:
        """What systems each note tells of, by the things in its title, symptom or defect."""
        systems = np.zeros(segment.size, dtype=np.int32)
        for concept in self.lexicon.concepts.values():
            bits, told = bit_of(concept), segment.concept_postings(concept, self.vocabulary)
            if bits and told.told is not None and concept.kind in TELLING:
                systems[told.notes[told.told]] |= bits
        return systems
