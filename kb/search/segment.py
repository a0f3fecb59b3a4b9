"""One immutable part of the index: its text as numbers, and postings of words and concepts."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from kb.search.ranking import NOTHING, Postings
from kb.search.stored.columns import CONCERN, NOES, Columns, columns_of
from kb.search.text import Ints, Text
from kb.search.vocabulary import Vocabulary
from kb.search.weights import Weights
from kb.words.concepts import Concept, Stems
from kb.words.normalise import stem

NO_STEMS = frozenset(map(stem, NOES))
MOST_APART = 3  # places between the first letters of neighbouring phrase words: at most two words in between


class Segment:
    """Postings over one Text. Immutable, save that concept postings are filled in on demand.

    Past concerns come last in the text; `notes` are the entries before them.
    """

    def __init__(
        self, text: Text, columns: Columns, k1: float, concepts: Mapping[Concept, Postings] | None = None
    ) -> None:
        """`concepts` are those that were counted already."""
        self.text = text
        self.columns = columns
        self.k1 = k1
        self.size = text.size
        self.notes = text.size - int(np.count_nonzero(text.kinds == CONCERN))
        self._concepts = dict(concepts or {})

    @classmethod
    def of(
        cls, text: Text, vocabulary: Vocabulary, weights: Weights, usual: NDArray[np.float64] | None = None
    ) -> Segment:
        """Of a text; `usual` are the usual lengths of its fields, its own where none are given."""
        return cls(text, columns_of(text, vocabulary, weights, usual), weights.k1)

    def in_notes(self, term: Postings) -> int:
        """How many notes hold a term, past concerns left out."""
        if self.notes == self.size:
            return len(term)
        return int(term.notes.searchsorted(np.int32(self.notes)))  # of another type, all would be copied

    def ahead(self, place: int, most: int) -> list[int]:
        """Word numbers from a place on, at most `most` and not beyond the end of its run."""
        end = int(self.text.run_ends[self.columns.run_of[place]])
        ahead: list[int] = self.text.words[place : min(place + most, end)].tolist()
        return ahead

    def beginning(self, note: int, most: int) -> tuple[list[int], list[int]]:
        """The first words of a note, runs parted by 0, and their stems (-1: carries nothing)."""
        runs = self._runs(note)
        first, last = int(self.columns.starts[runs[0]]), int(self.text.run_ends[runs[1] - 1])
        words = self.text.words[first : min(last, first + most)]
        return words.tolist(), self.columns.stem_of[words].tolist()

    def places(self, stem: int | None) -> Ints:
        """Places of a stem in the stream, ascending."""
        places, ends = self.columns.places, self.columns.place_ends
        if stem is None or stem >= len(ends) - 1:
            return places[:0]
        return places[ends[stem] : ends[stem + 1]]

    def first_word(self, note: int, stem: int | None) -> int:
        """The number of the first word of a note that has a stem, which it holds."""
        places, begins = self.places(stem), self.columns.starts[self._runs(note)[0]]
        return int(self.text.words[places[places.searchsorted(begins)]])

    def tells_words(self, note: int, stems: Sequence[int | None]) -> bool:
        """Whether these stems stand in order where the note says what it is about, close and not denied."""
        return any(self._says(first, last, stems) for first, last in self._telling(note))

    def _telling(self, note: int) -> list[tuple[int, int]]:
        first, last = self._runs(note)
        ends = self.text.telling[first:last].tolist()
        starts = self.columns.starts[first:last].tolist()
        return [run for run in zip(starts, ends, strict=True) if run[0] < run[1]]

    def _runs(self, note: int) -> tuple[int, int]:
        """The first run of a note and the one behind its last."""
        between = np.array((note, note + 1), dtype=np.int32)  # of another type, all runs would be copied
        first, last = self.text.run_notes.searchsorted(between).tolist()
        return first, last

    def _says(self, first: int, last: int, stems: Sequence[int | None]) -> bool:
        said = self.columns.stem_of[self.text.words[first:last]]
        begins, *others = ((np.flatnonzero(said == one) + first).astype(np.int32) for one in stems)
        ends = begins
        for following in others:
            begins, ends = self._follow(begins, ends, following)
        return bool(np.any(~self._denied(begins, ends)))

    def word_postings(self, stem: int | None) -> Postings:
        columns = self.columns
        if stem is None or stem >= len(columns.note_ends) - 1:
            return NOTHING
        low, high = columns.note_ends[stem], columns.note_ends[stem + 1]
        return Postings(columns.notes[low:high], columns.impacts[low:high])

    @property
    def concepts(self) -> Mapping[Concept, Postings]:
        """The concepts that were counted so far."""
        return self._concepts

    def concept_postings(self, concept: Concept, vocabulary: Vocabulary) -> Postings:
        """Postings of all phrases of a concept that notes use, computed once."""
        found = self._concepts.get(concept)
        if found is None:
            found = self._concepts[concept] = self._concept(concept, vocabulary)
        return found

    def phrase(self, stems: Sequence[int | None]) -> tuple[Ints, Ints]:
        """Where a phrase begins and ends: its words in order in one run, at most two others between
        neighbours.
        """
        begins = last = self.places(stems[0])
        for number in stems[1:]:
            if not len(begins):
                break
            begins, last = self._follow(begins, last, self.places(number))
        return begins, last

    def _follow(self, begins: Ints, last: Ints, following: Ints) -> tuple[Ints, Ints]:
        if not len(following):
            return begins[:0], last[:0]
        if len(following) * 8 < len(last):
            at = np.searchsorted(last, following, side="left") - 1
            fits = at >= 0
            at, after = at[fits], following[fits]
        else:
            spot = np.searchsorted(following, last, side="right")
            at = np.flatnonzero(spot < len(following))
            after = following[spot[at]]
        run_of = self.columns.run_of
        near = (after - last[at] <= MOST_APART) & (run_of[after] == run_of[last[at]])
        return begins[at[near]], after[near]

    def _concept(self, concept: Concept, vocabulary: Vocabulary) -> Postings:
        places, said = self._said(concept.shortest, concept.goes_on, vocabulary)
        if not len(places):
            return NOTHING
        runs = self.columns.run_of[places]
        notes = self.text.run_notes[runs]
        starts = np.flatnonzero(np.concatenate(([True], notes[1:] != notes[:-1])))
        sums = np.add.reduceat(self.columns.run_weights[runs], starts)
        impacts = np.asarray(sums / (self.k1 + sums), dtype=np.float32)
        told = self._notes_told(
            *(self._said(concept.telling, concept.goes_on, vocabulary) if concept.vague else (places, said))
        )
        return Postings(notes[starts], impacts, _holds(told, notes[starts]))

    def _notes_told(self, places: Ints, said: NDArray[np.bool_]) -> Ints:
        """The notes that say what stands at these places where they say what they are about."""
        runs = self.columns.run_of[places]
        return self.text.run_notes[runs[said & (places < self.text.telling[runs])]]

    def _said(
        self, phrases: Sequence[Stems], goes_on: Collection[str], vocabulary: Vocabulary
    ) -> tuple[Ints, NDArray[np.bool_]]:
        """Where some phrases stand, ascending, and which of them are not denied; not where one goes on."""
        begins, ends = [], []
        others = [self.places(vocabulary.stem_number(one)) for one in goes_on]
        behind = np.sort(np.concatenate(others)) if others else self.columns.places[:0]
        for phrase in phrases:
            stems = [vocabulary.stem_number(part) for part in phrase]
            if None in stems:
                continue
            first, last = self.phrase(stems)
            if len(behind):
                kept = ~_holds(behind, last + 1)
                first, last = first[kept], last[kept]
            if len(first):
                begins.append(first)
                ends.append(last if NO_STEMS.isdisjoint(phrase) else first)  # its own no denies nothing
        if not begins:
            return self.columns.places[:0], np.empty(0, dtype=np.bool_)
        places, last = (begins[0], ends[0]) if len(begins) == 1 else map(np.concatenate, (begins, ends))
        order = np.argsort(places, kind="stable")
        places = places[order]
        return places, ~self._denied(places, last[order])

    def _denied(self, begins: Ints, last: Ints) -> NDArray[np.bool_]:
        """Which phrases stand right behind a no, lamps in between, or have one inside that is not theirs:
        "no longer shuts off" and "engine no longer shuts off" tell of no stall.
        """
        noes, behind = self.columns.noes, begins - 1
        for _ in range(2):
            behind = behind - _holds(self.columns.of_lamps, behind)
        right_behind = _holds(noes, behind) & (behind >= self.columns.starts[self.columns.run_of[begins]])
        inside = np.searchsorted(noes, last) > np.searchsorted(noes, begins, side="right")
        return np.asarray(right_behind | inside)


def _holds(places: Ints, wanted: Ints) -> NDArray[np.bool_]:
    """Which of some places are among others, which ascend."""
    if not len(places):
        return np.zeros(len(wanted), dtype=np.bool_)
    at = np.minimum(np.searchsorted(places, wanted), len(places) - 1)
    return np.asarray(places[at] == wanted)
