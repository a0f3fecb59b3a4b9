"""What a reader sees: an unchanging set of segments with the lexicon and the spelling of the moment."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kb.search.ranking import NOTHING, REMEDY, Postings, Weights, note_worth
from kb.search.reading import Key
from kb.search.segment import MOST_APART, Segment
from kb.search.standing import Standing
from kb.search.vocabulary import Vocabulary
from kb.words.lexicon import Lexicon
from kb.words.normalise import stem
from kb.words.spelling import Speller


@dataclass(frozen=True, slots=True)
class Part:
    """A segment, what its notes are for, and which of them still stand."""

    segment: Segment
    standing: Standing
    alive: NDArray[np.bool_]
    worth: tuple[NDArray[np.float32], NDArray[np.float32]] | None = None
    """What each note is worth, without and with a vehicle known."""

    def without(self, id: int, kind: int) -> Part:  # noqa: A002 - the note's id is called id everywhere
        text = self.segment.text
        gone = np.flatnonzero((text.keys == id) & (text.kinds == kind) & self.alive)
        if not len(gone):
            return self
        alive = self.alive.copy()
        alive[gone] = False
        return replace(self, alive=alive)


@dataclass(frozen=True)
class Snapshot:
    """Everything one search needs; never changed once made."""

    parts: tuple[Part, ...]
    lexicon: Lexicon
    speller: Speller
    weights: Weights
    vocabulary: Vocabulary

    @property
    def total(self) -> int:
        return int(sum(np.count_nonzero(part.alive) for part in self.parts))

    def postings(self, part: Part, key: Key) -> Postings:
        """Where a term occurs in one part."""
        what, name = key
        if what == "concept":
            concept = self.lexicon.concepts.get(name)
            return NOTHING if concept is None else part.segment.concept_postings(concept, self.vocabulary)
        return part.segment.word_postings(self.vocabulary.stem_number(name if what == "code" else stem(name)))

    def phrase_at(self, segment: Segment, place: int, concept: str) -> str:
        """The words of the note from a place on that make up one of the concept's phrases."""
        ahead = segment.ahead(place)
        heard = [self.vocabulary.word(number) for number in ahead]
        stems = [stem(word) for word in heard]
        longest = max((_reach(stems, phrase) for phrase in self.lexicon.concepts[concept].phrases), default=1)
        return " ".join(heard[: max(longest, 1)])

    def ready(self) -> Snapshot:
        """This snapshot with all concepts counted and all notes' worth known, so that the first query is fast."""
        for part in self.parts:
            for concept in self.lexicon.concepts.values():
                part.segment.concept_postings(concept, self.vocabulary)
        return replace(self, parts=tuple(self._weighed(part) for part in self.parts))

    def _weighed(self, part: Part) -> Part:
        if part.worth is not None:
            return part
        remedy, stems = self.postings(part, ("concept", REMEDY)), part.segment.distinct
        return replace(part, worth=tuple(note_worth(stems, remedy, self.weights, known) for known in (False, True)))


def _reach(stems: list[str], phrase: tuple[str, ...]) -> int:
    """How many words from the first on a phrase takes up; 0 if it is not there."""
    if not stems or stems[0] != phrase[0]:
        return 0
    at = 0
    for part in phrase[1:]:
        near = stems[at + 1 : at + 1 + MOST_APART]
        if part not in near:
            return 0
        at += 1 + near.index(part)
    return at + 1
