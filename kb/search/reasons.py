"""Why a result is shown: what was typed, and the words of the note that say the same.

A reason must have carried the result and convince a technician. Much helps to rank that does neither: a
concept's neighbours, a word that is part of a longer phrase ("light" in "light throttle"), one that may mean
several things, a second reading of a slip, and the wider words of a concept ("oil pan" for "oil filter").
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from kb.search.closely import Close
from kb.search.query import Why
from kb.search.reading import Term
from kb.search.segment import MOST_APART, NO_STEMS, Segment
from kb.search.snapshot import Snapshot
from kb.words.concepts import Stems

LEAST_SHARE = 0.03
"""What adds less than this share to a note's score carried nothing."""
MOST = 8
SMALL = -1
"""The stem of words that carry nothing."""
MOST_BETWEEN = 1
READ_OF_NOTE = 400
"""So many words of a note are searched for what says the same."""

Said = tuple[tuple[int, ...], str]
"""A phrase to look for in a note, as numbers of stems, and the way to it from what was typed."""


class Reasons:
    """The reasons for the results of one query; what several results need is worked out once."""

    def __init__(self, snapshot: Snapshot, terms: Sequence[Term]) -> None:
        self._snapshot = snapshot
        self._terms = terms
        self._convincing = [at for at, term in enumerate(terms) if term.convinces]
        self._of_word = {term.key[1]: at for at, term in enumerate(terms) if term.key[0] == "word"}
        self._said: dict[tuple[int, bool | None], list[Said]] = {}
        self._noes = frozenset(map(snapshot.vocabulary.stem_number, NO_STEMS))

    def of(
        self, segment: Segment, note: int, close: Close, adds: Sequence[float], about: Collection[int]
    ) -> tuple[Why, ...]:
        """Those for one note, strongest first, at most one for each typed word. `adds` is what each term adds
        to its score; it is about what was typed by the terms `about` (kb/search/about.py).

        Of the terms that it is not found by, a phrase convinces where the note has its very words, since shop
        talk ("light throttle") is looked for in what is typed and not in notes.
        """
        least = LEAST_SHARE * sum(adds)
        words = _NoteWords(segment, note)
        found: dict[int, Why] = {}
        held = [at for at in self._convincing if close.firsts[at] >= 0 and adds[at] >= least]
        held.sort(key=lambda at: (-adds[at], self._terms[at].key))
        others = [at for at in self._convincing if close.firsts[at] < 0]
        for at in (*held, *others):
            unit = self._terms[at].unit
            if unit in found or len(found) == MOST:
                continue
            if close.firsts[at] >= 0:
                why = self._why(at, words, close.firsts[at], at in about)
            else:
                why = self._literally(at, words) if self._carried(at, close, adds) > least else None
            if why is not None:
                found[unit] = why
        return tuple(found.values())

    def _carried(self, at: int, close: Close, adds: Sequence[float]) -> float:
        """What the words of a phrase add to the score where all are held; else nothing."""
        words = [self._of_word.get(stem, -1) for stem in self._terms[at].stems]
        held = all(word >= 0 and close.firsts[word] >= 0 for word in words)
        return sum(adds[word] for word in words) if held else 0.0

    def _why(self, at: int, words: _NoteWords, place: int, is_about: bool) -> Why | None:
        """The words of the note that say the same as a term; none where it only says something like it.

        A symptom in other words is the same only in a note that is about it (wipers do not stall), one that
        any part may have ("dead") not even in the same words.
        """
        term = self._terms[at]
        kind, name = term.key
        if kind != "concept":
            word = self._snapshot.vocabulary.word(words.segment.word_at(place))
            return Why(term.typed, term.read_as, word, term.through)
        concept = self._snapshot.lexicon.concepts.get(name)
        if concept is None:
            return None
        general, plain = concept.reach == "general", term.plain
        if concept.kind == "symptom" and not is_about and (general or not plain):
            return None
        others = (plain and concept.kind != "symptom") or (is_about and (plain or general))
        if (at, others) not in self._said:
            self._said[at, others] = self._numbered(term, concept.alike(term.stems, others))
        return self._first(term, self._said[at, others], words)

    def _literally(self, at: int, words: _NoteWords) -> Why | None:
        """The very words of a phrase, where the note has them one behind the other."""
        term = self._terms[at]
        if (at, None) not in self._said:
            self._said[at, None] = self._numbered(term, (term.stems,))
        return self._first(term, self._said[at, None], words)

    def _numbered(self, term: Term, phrases: Sequence[Stems]) -> list[Said]:
        """Those of some phrases whose words are on file; one in the typed words needs no lexicon."""
        own, literally = set(term.stems), "as typed" if term.typed == term.read_as else "spelling"
        number = self._snapshot.vocabulary.stem_number
        return [
            (numbers, literally if own.issuperset(one) else term.through)
            for one in phrases
            for numbers in [tuple(found for found in map(number, one) if found is not None)]
            if numbers and len(numbers) == len(one)
        ]

    def _first(self, term: Term, said: Sequence[Said], words: _NoteWords) -> Why | None:
        """The first of some phrases that the note holds."""
        for numbers, through in said:
            for first in words.places(numbers[0]):
                last = self._end(words.stems, first, numbers)
                if last >= 0 and 0 not in words.words[first:last]:
                    told = words.words[first : last + 1]
                    matched = " ".join(map(self._snapshot.vocabulary.word, told))
                    return Why(term.typed, term.read_as, matched, through)
        return None

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
        return at if others <= MOST_BETWEEN and not denied else -1


class _NoteWords:
    """The first words of a note and their stems, read only when asked for."""

    def __init__(self, segment: Segment, note: int) -> None:
        self.segment = segment
        self._note = note
        self.words: list[int] = []
        self.stems: list[int] = []

    def places(self, stem: int) -> Iterator[int]:
        """Where a stem stands, ascending."""
        if not self.words:
            self.words, self.stems = self.segment.beginning(self._note, READ_OF_NOTE)
        at, more = -1, self.stems.count(stem)
        for _ in range(more):
            at = self.stems.index(stem, at + 1)
            yield at
