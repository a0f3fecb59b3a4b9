"""Why a result is shown: what was typed, and the words of the note that say the same.

A reason must have carried the result and convince a technician. Much helps to rank that does neither: a
concept's neighbours, a word that is part of a longer phrase ("light" in "light throttle"), one that may mean
several things, a second reading of a slip, and the wider words of a concept ("oil pan" for "oil filter").
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from kb.search.closely import Close
from kb.search.query import Why
from kb.search.reading import Term
from kb.search.segment import Segment
from kb.search.snapshot import Snapshot
from kb.search.vehicle.names_on_file import names_on_file
from kb.search.why.in_note import InNotes, NoteWords
from kb.words.concepts import CIRCUMSTANCES, PARTS

LEAST_SHARE = 0.03
"""What adds less than this share to a note's score carried nothing."""
MOST = 8
RARE = 5.3
"""A word that fewer than one note in 200 holds has one sense on file: ln(200)."""
FAR = 0.6
"""A result that scores less than this share of the best one is shown beside something far more like it."""


class Reasons:
    """The reasons for the results of one query; what several results need is worked out once."""

    def __init__(self, snapshot: Snapshot, terms: Sequence[Term], rare: Sequence[float]) -> None:
        self._snapshot = snapshot
        self._terms = terms
        self._rare = rare
        self._convincing = [at for at, term in enumerate(terms) if term.convinces and not self._is_name(term)]
        around = {terms[at].unit for at in self._convincing if self._is_circumstance(terms[at])}
        self._named = frozenset(at for at in self._convincing if terms[at].unit not in around)
        of_word = {term.key[1]: at for at, term in enumerate(terms) if term.key[0] == "word"}
        self._words_of = {
            at: [of_word[one] for one in stems] if of_word.keys() >= set(stems) else []
            for at in self._convincing
            for stems in [terms[at].stems]
        }
        self._in_notes = InNotes(snapshot, terms)

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
        words = NoteWords(segment, note)
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
        words = self._words_of[at]
        held = bool(words) and all(close.firsts[word] >= 0 for word in words)
        return sum([adds[word] for word in words]) if held else 0.0

    def _why(self, at: int, words: NoteWords, place: int, about: Collection[int]) -> Why | None:
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
            phrases = self._snapshot.on_file(term.key, lambda: ((name,),))
            return self._in_notes.first(term, phrases, words, is_thing=True, any_before=bool(about))
        concept = self._snapshot.lexicon.concepts.get(name)
        if concept is None:
            return None
        is_about, general, plain = at in about, concept.reach == "general", term.plain
        if concept.kind == "symptom" and not is_about and (general or not plain):
            return None
        others = (plain and concept.kind != "symptom") or (is_about and (plain or general))
        alike = self._snapshot.on_file(
            (term.key, term.stems, others), lambda: concept.alike(term.stems, others)
        )
        is_thing = concept.kind in PARTS and self._rare[at] < RARE
        return self._in_notes.first(term, alike, words, is_thing=is_thing, any_before=bool(about))

    def _literally(self, at: int, words: NoteWords) -> Why | None:
        """The very words of a phrase, where the note has them one behind the other."""
        term = self._terms[at]
        phrases = self._snapshot.on_file(term.stems, lambda: (term.stems,))
        return self._in_notes.first(term, phrases, words, is_thing=False, any_before=True)
