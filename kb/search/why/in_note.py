"""Where a note says what was typed, in the same words or in others."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence, Set
from typing import NamedTuple

from kb.search.reading import Term
from kb.search.segment import MOST_APART, NO_STEMS, Segment
from kb.search.snapshot import Numbered, Snapshot
from kb.words.concepts import Stems
from kb.words.normalise import stem

SMALL = -1
"""The stem of words that carry nothing."""
MOST_BETWEEN = 1
SPARING = frozenset(map(stem, ("affect", "impact", "involve", "concern")))
"""Behind a no they say what is right: "does not affect the rear brakes"."""
SPARED = 6
"""So many words behind them are spared."""
READ_OF_NOTE = 400
"""So many words of a note are searched for what says the same."""
GENERAL = frozenset(map(stem, ("system", "unit", "module", "assembly", "display", "monitor", "function")))
"""Behind a thing they name the same thing: "telematics unit", "camera display"."""


BESIDE = 2
"""A word has company where another typed word stands within so many telling words of it."""


class Place(NamedTuple):
    """Where a note says what was typed, by the places of its first and last word, and in which stems."""

    first: int
    last: int
    stems: Stems


class NoteWords:
    """The first words of a note and their stems, read only when asked for."""

    def __init__(self, segment: Segment, note: int) -> None:
        self._segment = segment
        self._note = note
        self.words: list[int] = []
        self.stems: list[int] = []

    def places(self, number: int) -> Iterator[int]:
        """Where a stem stands, ascending."""
        if not self.words:
            self.words, self.stems = self._segment.beginning(self._note, READ_OF_NOTE)
        at = -1
        for _ in range(self.stems.count(number)):
            at = self.stems.index(number, at + 1)
            yield at

    def first_word(self, stem: int | None) -> int:
        """The number of the first word of the whole note that has a stem, which it holds."""
        return self._segment.first_word(self._note, stem)

    def has_beside(self, place: Place, others: Set[int]) -> bool:
        """Whether one of some stems stands beside a place, in the same run of text."""
        behind = range(place.last + 1, len(self.words))
        return any(self._meets(way, others) for way in (behind, range(place.first - 1, -1, -1)))

    def _meets(self, way: Iterable[int], others: Set[int]) -> bool:
        telling = 0
        for at in way:
            telling += self.stems[at] != SMALL
            if not self.words[at] or telling > BESIDE:
                return False
            if self.stems[at] in others:
                return True
        return False


class InNotes:
    """Finds what was typed in notes; what tells another thing from it is worked out once a query."""

    def __init__(self, snapshot: Snapshot, terms: Sequence[Term]) -> None:
        self._snapshot = snapshot
        self._typed = {term.key[1] for term in terms}
        self._others: dict[str, tuple[frozenset[int], frozenset[int]]] = {}
        self._noes = frozenset(map(snapshot.vocabulary.stem_number, NO_STEMS))
        self._sparing = frozenset(map(snapshot.vocabulary.stem_number, SPARING)) - {None}

    def places(
        self, phrases: Sequence[Numbered], words: NoteWords, *, is_thing: bool, any_before: bool
    ) -> Iterator[Place]:
        """Where a note holds one of some phrases. Of a thing a word that names another one is none: with
        another word right behind it (a brake's line, an engine's compartment), or right before it (the
        parking brake) where not `any_before` will do.
        """
        for numbers, stems in phrases:
            for first in words.places(numbers[0]):
                last = self._end(words.stems, first, numbers)
                if last < 0 or 0 in words.words[first:last]:
                    continue
                if is_thing and len(stems) == 1 and self._is_anothers(stems[0], words, first, any_before):
                    continue
                yield Place(first, last, stems)

    def _is_anothers(self, word: str, words: NoteWords, at: int, any_before: bool) -> bool:
        """Whether a word names another thing here, by the words beside it."""
        if word not in self._others:
            self._others[word] = self._of_others(word)
        before, behind = self._others[word]
        its_own = any_before or before.isdisjoint(words.stems[max(0, at - 1) : at])
        return not its_own or not behind.isdisjoint(words.stems[at + 1 : at + 2])

    def _of_others(self, word: str) -> tuple[frozenset[int], frozenset[int]]:
        """The words that make a word another thing, before it (if there are several) and behind it, unless
        that thing or those words were typed too.
        """
        around = self._snapshot.lexicon.beside(word).items()
        kinds = {one for (side, _), concepts in around if side < 0 for one in concepts}
        sides: dict[int, set[int]] = {-1: set(), 1: set()}
        for (side, other), concepts in around:
            found = self._snapshot.vocabulary.stem_number(other)
            known = other in GENERAL or other in self._typed or not self._typed.isdisjoint(concepts)
            if found is not None and not known and (side > 0 or len(kinds) > 1):
                sides[side].add(found)
        return frozenset(sides[-1]), frozenset(sides[1])

    def _end(self, said: Sequence[int], first: int, numbers: Sequence[int]) -> int:
        """Where a phrase that begins here ends, or -1: with one other word inside at most, small ones apart,
        and no no that is not its own ("engine may not restart" is no restart).
        """
        at = first
        for one in numbers[1:]:
            near = said[at + 1 : at + 1 + MOST_APART]
            if one not in near:
                return -1
            at += 1 + near.index(one)
        others = at + 1 - first - len(numbers) - said[first:at].count(SMALL)
        denied = self._noes.isdisjoint(numbers) and not self._noes.isdisjoint(said[max(0, first - 1) : at])
        return at if others <= MOST_BETWEEN and not denied and not self._is_spared(said, first) else -1

    def _is_spared(self, said: Sequence[int], first: int) -> bool:
        """Whether a phrase stands behind a "does not affect"."""
        before = range(max(1, first - SPARED), first)
        return any(said[at] in self._sparing and said[at - 1] in self._noes for at in before)
