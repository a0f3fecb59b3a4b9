"""Why a result is shown: what was typed, and the words of the note that say the same.

A reason must have carried the result and convince a technician. Much helps to rank that does neither: a
concept's neighbours, a word that is part of a longer phrase ("light" in "light throttle"), one that may mean
several things, a second reading of a slip, and the wider words of a concept ("oil pan" for "oil filter").
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

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


@dataclass(frozen=True, slots=True)
class Held:
    """A term that a note holds: its first place there, what it adds to the score, and whether the note is
    about what was typed by it (kb/search/about.py).
    """

    term: Term
    place: int
    adds: float
    is_about: bool


def reasons(
    snapshot: Snapshot, segment: Segment, note: int, held: Sequence[Held], others: Iterable[Term]
) -> tuple[Why, ...]:
    """Reasons for one note, strongest first, at most one for each typed word.

    `others` are the terms that it is not found by: a phrase among them convinces where the note has its very
    words, since shop talk ("light throttle") is looked for in what is typed and not in notes.
    """
    least = LEAST_SHARE * sum(one.adds for one in held)
    words = _NoteWords(snapshot, segment, note)
    found: dict[int, Why] = {}
    for one in sorted(held, key=lambda one: (-one.adds, one.term.key)):
        term = one.term
        if not term.convinces or term.unit in found or one.adds < least or len(found) == MOST:
            continue
        why = words.why(one)
        if why is not None:
            found[term.unit] = why
    of_words = {one.term.key[1]: one.adds for one in held if one.term.key[0] == "word"}
    for term in others:
        if not term.convinces or term.unit in found or len(found) == MOST:
            continue
        if _carried(term, of_words) > least:
            found.update((term.unit, why) for why in words.literally(term))
    return tuple(found.values())


def _carried(term: Term, of_words: Mapping[str, float]) -> float:
    """What the words of a phrase add to the score where all are held (`of_words`, by stem); else nothing."""
    return sum(of_words[one] for one in term.stems) if of_words.keys() >= set(term.stems) else 0.0


class _NoteWords:
    """The first words of a note, read only when asked for."""

    def __init__(self, snapshot: Snapshot, segment: Segment, note: int) -> None:
        self._snapshot = snapshot
        self._segment = segment
        self._note = note
        self._words: list[int] = []
        self._stems: list[int] = []
        self._places: Mapping[int, list[int]] | None = None
        self._noes = frozenset(map(snapshot.vocabulary.stem_number, NO_STEMS))

    def why(self, one: Held) -> Why | None:
        """The words of the note that say the same as a term; none where it only says something like it.

        A symptom in other words is the same only in a note that is about it (wipers do not stall), one that
        any part may have ("dead") not even in the same words.
        """
        kind, name = one.term.key
        if kind != "concept":
            word = self._snapshot.vocabulary.word(self._segment.word_at(one.place))
            return Why(one.term.typed, one.term.read_as, word, one.term.through)
        concept = self._snapshot.lexicon.concepts.get(name)
        if concept is None:
            return None
        general, plain = concept.reach == "general", one.term.plain
        if concept.kind == "symptom" and not one.is_about and (general or not plain):
            return None
        others = (plain and concept.kind != "symptom") or (one.is_about and (plain or general))
        return next(self._said(one.term, concept.alike(one.term.stems, others)), None)

    def literally(self, term: Term) -> Iterable[Why]:
        """The very words of a phrase, where the note has them one behind the other."""
        return islice(self._said(term, (term.stems,)), 1)

    def _said(self, term: Term, phrases: Iterable[Stems]) -> Iterator[Why]:
        """The phrases that the note holds; one in the typed words needs no lexicon."""
        places, own = self._read(), set(term.stems)
        literally = "as typed" if term.typed == term.read_as else "spelling"
        number = self._snapshot.vocabulary.stem_number
        for phrase in phrases:
            stems = [number(one) for one in phrase]
            through = literally if own.issuperset(phrase) else term.through
            for first in places.get(stems[0], ()) if stems[0] is not None and None not in stems else ():
                last = self._end(first, stems)
                if last >= 0:
                    words = self._words[first : last + 1]
                    said = " ".join(map(self._snapshot.vocabulary.word, words))
                    yield Why(term.typed, term.read_as, said, through)

    def _end(self, first: int, stems: Sequence[int | None]) -> int:
        """Where a phrase that begins here ends, or -1: with one other word inside at most, small ones apart,
        and no no that is not its own ("engine may not restart" is no restart).
        """
        at = first
        for one in stems[1:]:
            near = self._stems[at + 1 : at + 1 + MOST_APART]
            if one not in near:
                return -1
            at += 1 + near.index(one)
        others = at + 1 - first - len(stems) - self._stems[first:at].count(SMALL)
        denied = self._noes.isdisjoint(stems) and not self._noes.isdisjoint(
            self._stems[max(0, first - 1) : at]
        )
        return at if others <= MOST_BETWEEN and 0 not in self._words[first:at] and not denied else -1

    def _read(self) -> Mapping[int, list[int]]:
        if self._places is None:
            self._words, self._stems = self._segment.beginning(self._note, READ_OF_NOTE)
            places: dict[int, list[int]] = {}
            for at, one in enumerate(self._stems):
                places.setdefault(one, []).append(at)
            self._places = places
        return self._places
