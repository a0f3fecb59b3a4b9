"""Why a result is shown: what was typed, and the words of the note that say the same.

A reason must have carried the result and convince a technician. Much helps to rank that does neither: a
concept's neighbours, a word that is part of a longer phrase ("light" in "light throttle"), one that may mean
several things, a second reading of a slip, the wider words of a concept ("oil pan" for "oil filter"). Which
of the others are shown follows from how sure the result is (kb/search/why/beside.py): all of a sure one's, a
circumstance ("on the highway") only along with another; of one that carries what is rare enough, a single
word that stands in the note as typed only beside another typed one ("engine" in "engine stalls", not in
"engine compartment fire") or as a rare thing that carried much; nothing but codes of the rest.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from kb.search.closely import Close
from kb.search.matching import MANY
from kb.search.query import Why
from kb.search.reading import Term
from kb.search.segment import Segment
from kb.search.snapshot import Snapshot
from kb.search.vehicle.names_on_file import names_on_file
from kb.search.why.beside import Beside
from kb.search.why.in_note import InNotes, NoteWords, Place
from kb.words.concepts import CIRCUMSTANCES, PARTS
from kb.words.negators import NEGATORS
from kb.words.stemming import ending_off

LEAST_SHARE = 0.03
"""What adds less than this share to a note's score carried nothing."""
MUCH = 0.1
"""What adds this share carried much."""
MOST = 8
COMMON, USUAL = 2.0, 3.0
"""What more than one note in 7 holds, ln(7), tells too little of any note, one in 20, ln(20), of one that is
not sure; in a file of fewer than MANY notes that cannot be told.
"""
FEW = 3.9
"""A word that fewer than one note in 50 holds is rare: ln(50)."""
RARE = 5.3
"""One that fewer than one in 200 holds has one sense on file: ln(200)."""
CODED = frozenset(("code", "related code"))
UNTOLD = frozenset(("filler", "vehicle"))
"""Kinds of concepts that say neither what happens nor with what: a side, a truck."""


class Reasons:
    """The reasons for the results of one query; what several results need is worked out once."""

    def __init__(self, snapshot: Snapshot, terms: Sequence[Term], rare: Sequence[float], notes: int) -> None:
        self._snapshot = snapshot
        self._terms = terms
        self._rare = rare
        convincing = [at for at, term in enumerate(terms) if term.convinces and self._counts(term)]
        around = {terms[at].unit for at in convincing if self._is_circumstance(terms[at])}
        self._convincing = convincing
        self._around = frozenset(at for at in convincing if terms[at].unit in around)
        self._limits = (COMMON, USUAL) if notes >= MANY else (0.0, 0.0)
        self._of_sure, self._of_others, self._codes = (
            [at for at in convincing if self._may_show(at, sure=True)],
            [at for at in convincing if self._may_show(at, sure=False)],
            [at for at in convincing if terms[at].key[0] == "code"],
        )
        of_word = {term.key[1]: at for at, term in enumerate(terms) if term.key[0] == "word"}
        self._words_of = {
            at: [of_word[one] for one in stems] if of_word.keys() >= set(stems) else []
            for at in self._convincing
            for stems in [terms[at].stems]
        }
        self._in_notes = InNotes(snapshot, terms)
        self._numbers = self._numbers_by_unit()
        self._company: dict[int, frozenset[int]] = {}

    def of(
        self,
        segment: Segment,
        note: int,
        close: Close,
        adds: Sequence[float],
        about: Collection[int],
        beside: Beside,
    ) -> tuple[Why, ...]:
        """Those for one note, strongest first, at most one for each typed word. `adds` is what each term adds
        to its score; it is about what was typed by the terms `about` (kb/search/about.py).

        Of the terms that it is not found by, a phrase convinces where the note has its very words, since shop
        talk ("light throttle") is looked for in what is typed and not in notes.
        """
        whole = sum(adds)
        least = LEAST_SHARE * whole
        words = NoteWords(segment, note)
        found: dict[int, tuple[int, Why]] = {}
        shown = self._of_sure if beside.is_sure else self._of_others if beside.carries else self._codes
        held = [at for at in shown if close.holds[at] and adds[at] >= least]
        held.sort(key=lambda at: (-adds[at], self._terms[at].key))
        others = [at for at in shown if not close.holds[at]]
        for at in (*held, *others):
            unit = self._terms[at].unit
            if unit in found or len(found) == MOST:
                continue
            if close.holds[at]:
                much = adds[at] >= MUCH * whole
                why = self._why(at, words, about, much=much, sure=beside.is_sure)
            else:
                why = self._literally(at, words) if self._carried(at, close, adds) > least else None
            if why is not None:
                found[unit] = at, why
        if self._around.issuperset(at for at, _ in found.values()):
            return ()
        lone = next(iter(found.values())) if len(found) == 1 else None
        enough = beside.stands_out or (beside.is_best and lone is not None and lone[0] in about)
        if lone and not (enough or lone[1].through in CODED):
            return ()
        return tuple(why for _, why in found.values())

    def _may_show(self, at: int, *, sure: bool) -> bool:
        """Whether a term is rare enough for a reason; circumstances go along with others of a sure result."""
        common, usual = self._limits
        if self._terms[at].key[0] == "code":
            return True
        least = common if sure and at not in self._around else usual
        return self._rare[at] >= least and (sure or at not in self._around)

    def _counts(self, term: Term) -> bool:
        """Whether it is neither a word of a make's or model's name, which says nothing of what is wrong, nor
        a side, a truck, or a thing in which people feel what is elsewhere.
        """
        kind, name = term.key
        if kind == "concept":
            concept = self._snapshot.lexicon.concepts.get(name)
            return concept is not None and concept.kind not in UNTOLD and concept.reach != "felt"
        known = kind != "word" or bool(self._snapshot.lexicon.meanings((name,)))
        return known or not names_on_file(self._snapshot).may_begin(term.read_as)

    def _is_circumstance(self, term: Term) -> bool:
        concept = self._snapshot.lexicon.concepts.get(term.key[1]) if term.key[0] == "concept" else None
        return concept is not None and concept.kind in CIRCUMSTANCES

    def _numbers_by_unit(self) -> list[tuple[int, int]]:
        """The unit and the number of the stem of every word asked for that is on file."""
        words = (term for term in self._terms if term.key[0] == "word")
        known = ((term.unit, self._snapshot.vocabulary.stem_number(term.key[1])) for term in words)
        return [(unit, number) for unit, number in known if number is not None]

    def _has_company(self, unit: int, place: Place, words: NoteWords) -> bool:
        """Whether another typed word stands beside a place, where any other was typed."""
        if unit not in self._company:
            own = {number for of, number in self._numbers if of == unit}
            self._company[unit] = frozenset(number for _, number in self._numbers if number not in own)
        others = self._company[unit]
        return not others or words.has_beside(place, others)

    def _carried(self, at: int, close: Close, adds: Sequence[float]) -> float:
        """What the words of a phrase add to the score where all are held; else nothing."""
        words = self._words_of[at]
        held = bool(words) and all(close.holds[word] for word in words)
        return sum([adds[word] for word in words]) if held else 0.0

    def _why(
        self, at: int, words: NoteWords, about: Collection[int], *, much: bool, sure: bool
    ) -> Why | None:
        """The words of the note that say the same as a term; none where it only says something like it.

        A symptom in other words is the same only in a note that is about it (wipers do not stall), one that
        any part may have ("dead") not even in the same words. A thing typed in one word is not the narrower
        one of a longer name ("sensor", "position sensor").
        """
        term = self._terms[at]
        kind, name = term.key
        if kind == "code":
            number = words.first_word(self._snapshot.vocabulary.stem_number(name))
            return Why(term.typed, term.read_as, self._snapshot.vocabulary.word(number), term.through)
        few = much and self._rare[at] >= FEW
        if kind == "word":
            phrases = self._snapshot.on_file(term.key, lambda: ((name,),))
            places = self._in_notes.places(
                phrases, words, is_thing=self._rare[at] < RARE, any_before=bool(about)
            )
            return self._shown(
                term, places, words, alone=sure or (few and bool(self._snapshot.lexicon.meanings((name,))))
            )
        concept = self._snapshot.lexicon.concepts[name]
        is_about, general, plain = at in about, concept.reach == "general", term.plain
        if concept.kind == "symptom" and not is_about and (general or not plain):
            return None
        others = (plain and concept.kind != "symptom") or (is_about and (plain or general))
        alike = self._snapshot.on_file(
            (term.key, term.stems, others), lambda: concept.alike(term.stems, others)
        )
        thing = concept.kind in PARTS
        if thing and len(term.stems) == 1:
            alike = [one for one in alike if len(one[1]) == 1]
        is_thing = thing and self._rare[at] < RARE
        places = self._in_notes.places(alike, words, is_thing=is_thing, any_before=bool(about))
        return self._shown(term, places, words, alone=sure or (few and thing))

    def _literally(self, at: int, words: NoteWords) -> Why | None:
        """The very words of a phrase, where the note has them one behind the other."""
        term = self._terms[at]
        phrases = self._snapshot.on_file(term.stems, lambda: (term.stems,))
        places = self._in_notes.places(phrases, words, is_thing=False, any_before=True)
        return self._shown(term, places, words, alone=False)

    def _shown(self, term: Term, places: Iterable[Place], words: NoteWords, *, alone: bool) -> Why | None:
        """The first place that convinces; a single word as it was typed does in company, or `alone`."""
        own = set(term.stems or term.key[1:])
        for place in places:
            told = [self._snapshot.vocabulary.word(one) for one in words.words[place.first : place.last + 1]]
            if told[0] in NEGATORS and "the" in told[1:]:  # "not the function of the switch" names a thing
                continue
            as_typed = own.issuperset(place.stems)
            if as_typed and len(place.stems) == 1:
                if ending_off(told[0]) not in map(ending_off, term.read_as.split()):
                    continue
                if not (alone or self._has_company(term.unit, place, words)):
                    continue
            literally = "as typed" if term.typed == term.read_as else "spelling"
            return Why(term.typed, term.read_as, " ".join(told), literally if as_typed else term.through)
        return None
