"""One immutable part of the index: its text as numbers, and postings of words and concepts."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from kb.search.query import KINDS
from kb.search.ranking import NOTHING, Postings, token_weights, usual_lengths
from kb.search.text import FIELD, Ints, Text
from kb.search.vocabulary import Vocabulary
from kb.search.weights import Weights
from kb.words.concepts import Concept, Stems
from kb.words.normalise import stem

NOES = ("no", "not", "never", "without", "longer")
NO_STEMS = frozenset(map(stem, NOES))
OF_LAMPS = ("warning", "lamp", "light", "other")
"""They may stand between a no and what it denies: "no warning lamp stays on"."""
CONCERN = KINDS.index("concern")
MOST_APART = 3  # places between the first letters of neighbouring phrase words: at most two words in between


class Segment:
    """Postings over one Text. Immutable, save that concept postings are filled in on demand.

    Past concerns come last in the text; `notes` are the entries before them.
    """

    def __init__(
        self, text: Text, vocabulary: Vocabulary, weights: Weights, usual: NDArray[np.float64] | None = None
    ) -> None:
        self.text = text
        self.k1 = weights.k1
        self.notes = text.size - int(np.count_nonzero(text.kinds == CONCERN))
        starts = (
            np.concatenate(([0], text.run_ends[:-1] + 1)).astype(np.int32)
            if len(text.run_ends)
            else text.run_ends
        )
        lengths = text.run_ends - starts
        self._starts = starts
        self.usual = usual_lengths(text.run_fields, lengths) if usual is None else usual
        run_weights = token_weights(text.run_fields, lengths, self._shares(weights.pool), weights, self.usual)
        whole = lengths + 1
        self._run_of = np.repeat(np.arange(len(whole), dtype=np.int32), whole)
        self._run_weights = run_weights
        self._fill(vocabulary)
        self._concepts: dict[Concept, Postings] = {}
        self._noes, self._of_lamps = (self._places_of(words, vocabulary) for words in (NOES, OF_LAMPS))

    @property
    def size(self) -> int:
        return self.text.size

    def word_at(self, place: int) -> int:
        return int(self.text.words[place])

    def in_notes(self, term: Postings) -> int:
        """How many notes hold a term, past concerns left out."""
        if self.notes == self.size:
            return len(term)
        return int(term.notes.searchsorted(np.int32(self.notes)))  # of another type, all would be copied

    def counts_in_notes(self, words: int) -> NDArray[np.int64]:
        """How often each of `words` words is written, past concerns left out."""
        text = self.text
        past = text.kinds[text.run_notes] == CONCERN
        kept = text.words[~past[self._run_of]] if past.any() else text.words
        return np.bincount(kept, minlength=words)

    def ahead(self, place: int, most: int) -> list[int]:
        """Word numbers from a place on, at most `most` and not beyond the end of its run."""
        end = int(self.text.run_ends[self._run_of[place]])
        ahead: list[int] = self.text.words[place : min(place + most, end)].tolist()
        return ahead

    def beginning(self, note: int, most: int) -> tuple[list[int], list[int]]:
        """The first words of a note, runs parted by 0, and their stems (-1: carries nothing)."""
        runs = np.searchsorted(self.text.run_notes, np.array((note, note + 1), dtype=np.int32))
        first, last = int(self._starts[runs[0]]), int(self.text.run_ends[runs[1] - 1])
        words = self.text.words[first : min(last, first + most)]
        return words.tolist(), self._stem_of[words].tolist()

    def places(self, stem: int | None) -> Ints:
        """Places of a stem in the stream, ascending."""
        if stem is None or stem >= self._stems:
            return self._places[:0]
        return self._places[self._place_ends[stem] : self._place_ends[stem + 1]]

    def tells_words(self, note: int, stems: Sequence[int | None]) -> bool:
        """Whether these stems stand in order where the note says what it is about, close and not denied."""
        return any(self._says(first, last, stems) for first, last in self._telling(note))

    def _telling(self, note: int) -> list[tuple[int, int]]:
        between = np.array((note, note + 1), dtype=np.int32)  # of another type, all runs would be copied
        first, last = np.searchsorted(self.text.run_notes, between).tolist()
        ends = self.text.telling[first:last].tolist()
        return [run for run in zip(self._starts[first:last].tolist(), ends, strict=True) if run[0] < run[1]]

    def _says(self, first: int, last: int, stems: Sequence[int | None]) -> bool:
        said = self._stem_of[self.text.words[first:last]]
        begins, *others = ((np.flatnonzero(said == one) + first).astype(np.int32) for one in stems)
        ends = begins
        for following in others:
            begins, ends = self._follow(begins, ends, following)
        return bool(np.any(~self._denied(begins, ends)))

    def word_postings(self, stem: int | None) -> Postings:
        if stem is None or stem >= self._stems:
            return NOTHING
        low, high = self._note_ends[stem], self._note_ends[stem + 1]
        return Postings(self._notes[low:high], self._impacts[low:high], self._firsts[low:high])

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
        near = (after - last[at] <= MOST_APART) & (self._run_of[after] == self._run_of[last[at]])
        return begins[at[near]], after[near]

    def _shares(self, pool: float) -> NDArray[np.float32]:
        """What one run counts: documents of a note share by (number of documents)^-pool."""
        text = self.text
        documents = text.run_fields == FIELD["document"]
        many = np.bincount(text.run_notes[documents], minlength=text.size)
        shares = np.ones(len(text.run_fields), dtype=np.float32)
        shares[documents] = np.maximum(many[text.run_notes[documents]], 1) ** -pool
        return shares

    def _fill(self, vocabulary: Vocabulary) -> None:
        self._stem_of = vocabulary.stems_of()
        self._stems = vocabulary.stem_count
        stems = self._stem_of[self.text.words]
        kept = np.flatnonzero(stems >= 0).astype(np.int32)
        by_stem = csr_array(
            (np.ones(len(kept), np.int8), (stems[kept], kept)),
            shape=(max(self._stems, 1), max(len(stems), 1)),
        )
        self._places = by_stem.indices.astype(np.int32, copy=False)
        self._place_ends = by_stem.indptr
        runs = self._run_of[self._places]
        notes = self.text.run_notes[runs]
        new = np.ones(len(notes), dtype=bool)
        new[1:] = notes[1:] != notes[:-1]
        new[self._place_ends[:-1][self._place_ends[:-1] < len(new)]] = True
        starts = np.flatnonzero(new)
        sums = np.add.reduceat(self._run_weights[runs], starts) if len(starts) else np.empty(0, np.float32)
        self._impacts = np.asarray(sums / (self.k1 + sums), dtype=np.float32)
        self._notes = notes[starts]
        self._firsts = self._places[starts]
        self._note_ends = np.searchsorted(starts, self._place_ends)
        self.distinct = np.bincount(self._notes, minlength=self.text.size)

    def _concept(self, concept: Concept, vocabulary: Vocabulary) -> Postings:
        places, said = self._said(concept.shortest, vocabulary)
        if not len(places):
            return NOTHING
        runs = self._run_of[places]
        notes = self.text.run_notes[runs]
        starts = np.flatnonzero(np.concatenate(([True], notes[1:] != notes[:-1])))
        sums = np.add.reduceat(self._run_weights[runs], starts)
        impacts = np.asarray(sums / (self.k1 + sums), dtype=np.float32)
        told = self._notes_told(
            *(self._said(concept.telling, vocabulary) if concept.vague else (places, said))
        )
        return Postings(notes[starts], impacts, places[starts], _holds(told, notes[starts]))

    def _notes_told(self, places: Ints, said: NDArray[np.bool_]) -> Ints:
        """The notes that say what stands at these places where they say what they are about."""
        runs = self._run_of[places]
        return self.text.run_notes[runs[said & (places < self.text.telling[runs])]]

    def _said(self, phrases: Sequence[Stems], vocabulary: Vocabulary) -> tuple[Ints, NDArray[np.bool_]]:
        """Where some phrases stand, ascending, and which of them are not denied."""
        begins, ends = [], []
        for phrase in phrases:
            stems = [vocabulary.stem_number(part) for part in phrase]
            if None in stems:
                continue
            first, last = self.phrase(stems)
            if len(first):
                begins.append(first)
                ends.append(last if NO_STEMS.isdisjoint(phrase) else first)  # its own no denies nothing
        if not begins:
            return self._places[:0], np.empty(0, dtype=np.bool_)
        places, last = (begins[0], ends[0]) if len(begins) == 1 else map(np.concatenate, (begins, ends))
        order = np.argsort(places, kind="stable")
        places = places[order]
        return places, ~self._denied(places, last[order])

    def _places_of(self, words: Sequence[str], vocabulary: Vocabulary) -> Ints:
        """Where any of some words stand, ascending."""
        return np.sort(np.concatenate([self.places(vocabulary.stem_number(stem(word))) for word in words]))

    def _denied(self, begins: Ints, last: Ints) -> NDArray[np.bool_]:
        """Which phrases stand right behind a no, lamps in between, or have one inside that is not theirs:
        "no longer shuts off" and "engine no longer shuts off" tell of no stall.
        """
        behind = begins - 1
        for _ in range(2):
            behind = behind - _holds(self._of_lamps, behind)
        right_behind = _holds(self._noes, behind) & (behind >= self._starts[self._run_of[begins]])
        inside = np.searchsorted(self._noes, last) > np.searchsorted(self._noes, begins, side="right")
        return np.asarray(right_behind | inside)


def _holds(places: Ints, wanted: Ints) -> NDArray[np.bool_]:
    """Which of some places are among others, which ascend."""
    if not len(places):
        return np.zeros(len(wanted), dtype=np.bool_)
    at = np.minimum(np.searchsorted(places, wanted), len(places) - 1)
    return np.asarray(places[at] == wanted)
