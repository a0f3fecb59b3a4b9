"""Why a result is shown: what was typed, and the words of the note that say the same.

A reason must have carried the result and convince a technician. Much helps to rank that does neither: a
concept's neighbours, a word that is part of a longer phrase ("light" in "light throttle"), one that may mean
several things, a second reading of a slip, and the wider words of a concept ("oil pan" for "oil filter").
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import NamedTuple

from kb.search.closely import Close
from kb.search.query import Why
from kb.search.reading import Term
from kb.search.segment import MOST_APART, NO_STEMS, Segment
from kb.search.snapshot import Snapshot
from kb.search.vehicle.names_on_file import names_on_file
from kb.words.concepts import CIRCUMSTANCES, PARTS, Stems
from kb.words.normalise import stem

LEAST_SHARE = 0.03
"""What adds less than this share to a note's score carried nothing."""
MOST = 8
SMALL = -1
"""The stem of words that carry nothing."""
MOST_BETWEEN = 1
READ_OF_NOTE = 400
"""So many words of a note are searched for what says the same."""

FAR = 0.6
"""A result that scores less than this share of the best one is shown beside something far more like it."""


RARE = 5.3
"""A word that fewer than one note in 200 holds has one sense on file: ln(200)."""


GENERAL = frozenset(map(stem, ("system", "unit", "module", "assembly", "display", "monitor", "function")))
"""Behind a thing they name the same thing: "telematics unit", "camera display"."""


class Said(NamedTuple):
    """A phrase to look for in a note, as numbers of stems, and the way to it from what was typed.

    A single word names another thing with one of `behind` right behind it (a brake's line, an engine's
    compartment), and may do so with one of `before` right before it (the parking brake).
    """

    numbers: tuple[int, ...]
    through: str
    before: frozenset[int]
    behind: frozenset[int]


class Reasons:
    """The reasons for the results of one query; what several results need is worked out once."""

    def __init__(self, snapshot: Snapshot, terms: Sequence[Term], rare: Sequence[float]) -> None:
        self._snapshot = snapshot
        self._terms = terms
        self._rare = rare
        self._convincing = [at for at, term in enumerate(terms) if term.convinces and not self._is_name(term)]
        around = {terms[at].unit for at in self._convincing if self._is_circumstance(terms[at])}
        self._named = frozenset(at for at in self._convincing if terms[at].unit not in around)
        self._of_word = {term.key[1]: at for at, term in enumerate(terms) if term.key[0] == "word"}
        self._typed = {term.key[1] for term in terms}
        self._said: dict[tuple[int, bool | None], list[Said]] = {}
        self._noes = frozenset(map(snapshot.vocabulary.stem_number, NO_STEMS))

    def of(
        self,
        segment: Segment,
        note: int,
        close: Close,
        adds: Sequence[float],
        about: Collection[int],
        *,
        far: bool,
    ) -> tuple[Why, ...]:
        """Those for one note, strongest first, at most one for each typed word. `adds` is what each term adds
        to its score; it is about what was typed by the terms `about` (kb/search/about.py), and `far` below
        the best result.

        Of the terms that it is not found by, a phrase convinces where the note has its very words, since shop
        talk ("light throttle") is looked for in what is typed and not in notes. Circumstances alone convince
        nobody where a thing or a symptom was typed.
        """
        least = LEAST_SHARE * sum(adds)
        words = _NoteWords(segment, note)
        found: dict[int, Why] = {}
        held = [at for at in self._convincing if close.firsts[at] >= 0 and adds[at] >= least]
        held.sort(key=lambda at: (-adds[at], self._terms[at].key))
        others = [at for at in self._convincing if close.firsts[at] < 0]
        named = not self._named
        for at in (*held, *others):
            unit = self._terms[at].unit
            if unit in found or len(found) == MOST:
                continue
            if close.firsts[at] >= 0:
                why = self._why(at, words, close.firsts[at], about)
            else:
                why = self._literally(at, words) if self._carried(at, close, adds) > least else None
            if why is not None and (not far or at in about or self._says_much(at, why)):
                found[unit] = why
                named = named or at in self._named or self._says_much(at, why)
        return tuple(found.values()) if named else ()

    def _says_much(self, at: int, why: Why) -> bool:
        """Whether it is more than a single word."""
        return self._terms[at].key[0] == "code" or " " in why.matched

    def _is_name(self, term: Term) -> bool:
        """Whether it is a word of a make's or model's name, which says nothing of what is wrong."""
        kind, name = term.key
        if kind != "word" or self._snapshot.lexicon.meanings((name,)):
            return False
        return names_on_file(self._snapshot).may_begin(term.read_as)

    def _is_circumstance(self, term: Term) -> bool:
        concept = self._snapshot.lexicon.concepts.get(term.key[1]) if term.key[0] == "concept" else None
        return concept is not None and concept.kind in CIRCUMSTANCES

    def _carried(self, at: int, close: Close, adds: Sequence[float]) -> float:
        """What the words of a phrase add to the score where all are held; else nothing."""
        words = [self._of_word.get(one, -1) for one in self._terms[at].stems]
        held = all(word >= 0 and close.firsts[word] >= 0 for word in words)
        return sum(adds[word] for word in words) if held else 0.0

    def _why(self, at: int, words: _NoteWords, place: int, about: Collection[int]) -> Why | None:
        """The words of the note that say the same as a term; none where it only says something like it.

        A symptom in other words is the same only in a note that is about it (wipers do not stall), one that
        any part may have ("dead") not even in the same words.
        """
        term = self._terms[at]
        kind, name = term.key
        if kind == "code" or (kind == "word" and self._rare[at] >= RARE):
            word = self._snapshot.vocabulary.word(words.segment.word_at(place))
            return Why(term.typed, term.read_as, word, term.through)
        if kind == "word":
            if (at, None) not in self._said:
                self._said[at, None] = self._numbered(term, ((name,),), may_be_anothers=True)
            return self._first(term, self._said[at, None], words, any_before=bool(about))
        concept = self._snapshot.lexicon.concepts.get(name)
        if concept is None:
            return None
        is_about, general, plain = at in about, concept.reach == "general", term.plain
        if concept.kind == "symptom" and not is_about and (general or not plain):
            return None
        others = (plain and concept.kind != "symptom") or (is_about and (plain or general))
        if (at, others) not in self._said:
            is_thing = concept.kind in PARTS and self._rare[at] < RARE
            self._said[at, others] = self._numbered(term, concept.alike(term.stems, others), is_thing)
        return self._first(term, self._said[at, others], words, any_before=bool(about))

    def _literally(self, at: int, words: _NoteWords) -> Why | None:
        """The very words of a phrase, where the note has them one behind the other."""
        term = self._terms[at]
        if (at, None) not in self._said:
            self._said[at, None] = self._numbered(term, (term.stems,))
        return self._first(term, self._said[at, None], words, any_before=True)

    def _numbered(self, term: Term, phrases: Sequence[Stems], may_be_anothers: bool = False) -> list[Said]:
        """Those of some phrases whose words are on file; one in the typed words needs no lexicon."""
        own, literally = (
            {*(term.stems or term.key[1:])},
            "as typed" if term.typed == term.read_as else "spelling",
        )
        number = self._snapshot.vocabulary.stem_number
        return [
            Said(
                numbers,
                literally if own.issuperset(one) else term.through,
                *self._of_others(one if may_be_anothers else ()),
            )
            for one in phrases
            for numbers in [tuple(found for found in map(number, one) if found is not None)]
            if numbers and len(numbers) == len(one)
        ]

    def _of_others(self, phrase: Stems) -> tuple[frozenset[int], frozenset[int]]:
        """The words that make a single word another thing, before it (if there are several) and behind it,
        unless that thing or those words were typed too.
        """
        if len(phrase) != 1:
            return frozenset(), frozenset()
        around = self._snapshot.lexicon.beside(phrase[0]).items()
        kinds = {one for (side, _), concepts in around if side < 0 for one in concepts}
        sides: dict[int, set[int]] = {-1: set(), 1: set()}
        for (side, other), concepts in around:
            found = self._snapshot.vocabulary.stem_number(other)
            known = other in GENERAL or other in self._typed or not self._typed.isdisjoint(concepts)
            if found is not None and not known and (side > 0 or len(kinds) > 1):
                sides[side].add(found)
        return frozenset(sides[-1]), frozenset(sides[1])

    def _first(self, term: Term, said: Sequence[Said], words: _NoteWords, *, any_before: bool) -> Why | None:
        """The first of some phrases that the note holds."""
        for numbers, through, before, behind in said:
            for first in words.places(numbers[0]):
                last = self._end(words.stems, first, numbers)
                if last < 0 or 0 in words.words[first:last]:
                    continue
                its_own = any_before or before.isdisjoint(words.stems[max(0, first - 1) : first])
                if its_own and behind.isdisjoint(words.stems[last + 1 : last + 2]):
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

    def places(self, number: int) -> Iterator[int]:
        """Where a stem stands, ascending."""
        if not self.words:
            self.words, self.stems = self.segment.beginning(self._note, READ_OF_NOTE)
        at, more = -1, self.stems.count(number)
        for _ in range(more):
            at = self.stems.index(number, at + 1)
            yield at
