"""Whether a note is about what was typed, or merely shares words with it.

A shared word is no reason to program a module. A note is about a complaint by a symptom that was typed as
itself (not through a neighbour, not inside a longer phrase) and that the note tells in its title, its symptom
or the defect of a recall, never in conditions, precautions or body. What the symptom must bring along is its
`reach` in the lexicon:

reach     | qualifies
own       | by itself, unless what has it ("wiper stalls") or is blamed for it ("its the wiper") is of
          | another system than the note's and not told by it
shared    | nor every part typed near it is, or where it happens ("over potholes" is the suspension); two of
          | the note's conditions or plain words outweigh that
general   | only with its part, the one typed nearest to it ("wiper dead" is about wipers), or another of that
          | part's system that the note tells; the note may tell a neighbour of the symptom
function  | a condition or system that is itself what stopped ("auto stop quit"): as the part of a symptom
event     | a condition that has a symptom as a part has it ("harsh upshift"), and no function; not where
          | another system's part was named before ("washer tank empty every two days")
felt      | a part that is none where something is only felt ("vibration in the seat")

A part in a comparison ("like a flat tire") or said to be right ("cluster is fine") is none. Trouble codes
qualify too, but whether a code defines a condition is known to the note, not to the search.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import chain
from typing import NamedTuple

from kb.search.belonging import bit_of, is_part, is_scene, is_when
from kb.search.layout import BESIDE, Layout
from kb.search.nearness import in_question, is_scrap, is_within, plain, same_words
from kb.search.reading import Term
from kb.words.concepts import PARTS, Concept

RULE = 5
"""Counted up when the rule changes, so that what was frozen by an older one is looked at again."""
OUTWEIGH = 2
"""So many conditions or plain words of the note, typed too, outweigh another system's part."""


class Told(NamedTuple):
    """What one note holds of the terms asked for, by their places.

    `names` stand anywhere in it, `tells` where it says what it is about; `systems` are bits of the systems it
    tells of.
    """

    names: frozenset[int]
    tells: frozenset[int]
    systems: int


@dataclass(frozen=True, slots=True)
class Asked:
    """What a complaint asks for by itself: places among its terms of symptoms, of parts, functions and
    events, of scenes (conditions that speak of one system), of all conditions, of plain words that the
    lexicon does not know; and for each symptom the terms of its neighbours. `of_systems` are the parts and
    scenes that say whose a symptom is, `blamed` the parts said to be what it is ("its the seat sliding");
    `looked_for` all whose place in a note decides. `loose` are the symptoms and plain words, which a note may
    tell in these very words though no phrase is looked for, each with the terms of its words. `known` is what
    was found before: notes are much alike.
    """

    terms: Sequence[Term]
    concepts: Mapping[int, Concept]
    symptoms: tuple[int, ...]
    parts: tuple[int, ...]
    scenes: tuple[int, ...]
    conditions: tuple[int, ...]
    plain: tuple[int, ...]
    neighbours: Mapping[int, frozenset[int]]
    of_systems: tuple[int, ...]
    blamed: tuple[int, ...]
    looked_for: frozenset[int]
    loose: Mapping[int, Sequence[int]]
    layout: Layout
    known: dict[Told, tuple[int, ...]] = field(default_factory=dict, repr=False, compare=False)

    @classmethod
    def of(cls, terms: Sequence[Term], lexicon: Mapping[str, Concept]) -> Asked:
        """The terms typed as themselves, sorted by what they are."""
        places = {term.key[1]: at for at, term in enumerate(terms) if term.key[0] == "concept"}
        concepts = {at: lexicon[name] for name, at in places.items() if terms[at].itself and name in lexicon}
        symptoms = tuple(at for at, one in concepts.items() if one.kind == "symptom")
        asked = {at: one for at, one in concepts.items() if in_question(terms[at], one)}
        parts = tuple(at for at, one in asked.items() if is_part(one))
        scenes = tuple(at for at, one in asked.items() if is_scene(one))
        words = plain(terms)
        near = {
            at: frozenset(places[name] for name in concepts[at].near if name in places) for at in symptoms
        }
        return cls(
            terms,
            concepts,
            symptoms,
            parts,
            scenes,
            tuple(at for at, one in concepts.items() if is_when(one)),
            words,
            near,
            (*(at for at in parts if _is_of_a_system(concepts[at])), *scenes),
            tuple(at for at in parts if any(spot.word.blamed for spot in terms[at].spots)),
            frozenset((*concepts, *words, *chain.from_iterable(near.values()))),
            _loose(terms, (*symptoms, *words)),
            Layout(terms, concepts),
        )

    def qualifying(self, note: Told) -> tuple[int, ...]:
        """Places of the terms by which the note is about the complaint; none where it is not."""
        if note not in self.known:
            self.known[note] = self._qualifying(note)
        return self.known[note]

    def _qualifying(self, note: Told) -> tuple[int, ...]:
        found: dict[int, None] = {}
        for at in self.symptoms:
            reach = self.concepts[at].reach
            if reach == "general":
                part = self._its_part(at, note)
                if part is not None and self._tells_of(at, part, note):
                    found |= {at: None, part: None}
            elif at in note.tells and self._is_the_notes(at, note):
                found[at] = None
        return tuple(found)

    def _is_the_notes(self, symptom: int, note: Told) -> bool:
        """Whether nothing typed says that a symptom, which the note tells, is another system's."""
        own = self.concepts[symptom].reach == "own"
        return not self._is_anothers(symptom, note) and (own or not self._is_vetoed(symptom, note))

    def _its_part(self, symptom: int, note: Told) -> int | None:
        """The part typed nearest to a symptom (of two as near, the one before it) if the note tells it.
        Unless that one has the symptom, an event that the note tells; or another one typed near it, of the
        same system, that the note tells.
        """
        typed = self.layout.nearest(symptom, self.parts)
        barred = {"event"} if self._is_named(symptom, note) else set()
        told = [at for at in typed if at in note.tells and self.concepts[at].reach not in barred]
        if not told or self._blames_another(note):
            return None
        if typed[0] == told[0] or same_words(self.terms[typed[0]], self.terms[told[0]]):
            return told[0]
        if self.layout.has_it(typed[0], symptom) and not self._is_vague(typed[0], note):
            return None
        event = next((at for at in told if self.concepts[at].reach == "event"), None)
        if event is not None:
            return event
        system = self.concepts[typed[0]].system
        near = (at for at in told if self.layout.away(at, symptom) <= BESIDE)
        return next((at for at in near if self.concepts[at].system == system), None) if system else None

    def _is_vague(self, part: int, note: Told) -> bool:
        """Whether a part is only the whole of the note's own system ("engine goes out")."""
        concept = self.concepts[part]
        return self.terms[part].stems in concept.vague and bool(bit_of(concept) & note.systems)

    def _is_named(self, symptom: int, note: Told) -> bool:
        """Whether a part of another system stands before a general symptom, at most a clause apart: "the
        washer tank is empty every two days".
        """
        return any(
            self.concepts[part].reach not in ("event", "felt")
            and self._is_another(part, note)
            and self.layout.is_named_before(part, symptom)
            for part in self.parts
        )

    def _blames_another(self, note: Told) -> bool:
        """Whether a part of another system is said to be what it is: "its the seat sliding"."""
        return any(self._is_another(at, note) for at in self.blamed)

    def _tells_of(self, symptom: int, part: int, note: Told) -> bool:
        """Whether the note tells the symptom of a part or a neighbour of it; a function needs no symptom."""
        told = symptom in note.tells or not self.neighbours[symptom].isdisjoint(note.tells)
        return told or self.concepts[part].reach == "function"

    def _is_anothers(self, symptom: int, note: Told) -> bool:
        """Whether what has it is another system's: the part nearest to it and not in it, or what is
        blamed.
        """
        apart = (at for at in self._near(symptom, note) if not is_within(self.terms[at], self.terms[symptom]))
        nearest = next(apart, None)
        if (
            nearest is not None
            and self.layout.is_subject(nearest, symptom)
            and self._is_another(nearest, note)
        ):
            return True
        return self._blames_another(note)

    def _is_vetoed(self, symptom: int, note: Told) -> bool:
        """Whether every part and scene near it is another system's, and nothing outweighs."""
        near = [at for at in self._near(symptom, note) if not is_scrap(self.terms[at], self.terms[symptom])]
        others = [at for at in near if self._is_another(at, note)]
        ours = any(self._is_ours(at, note) for at in near)
        shared = sum(at in note.names for at in self.conditions) + sum(at in note.tells for at in self.plain)
        return not note.names.issuperset(others) and not ours and shared < OUTWEIGH

    def _near(self, symptom: int, note: Told) -> list[int]:
        """The things and scenes of some system that may be whose the symptom is, nearest first."""
        typed = self.layout.nearest(symptom, self.of_systems)
        return [at for at in typed if self._counts_against(at, symptom, note)]

    def _is_another(self, thing: int, note: Told) -> bool:
        return bool(bit_of(self.concepts[thing])) and not self._is_ours(thing, note)

    def _counts_against(self, thing: int, symptom: int, note: Told) -> bool:
        """Whether a thing may be what has the symptom: a part near it, or where it happens; not the engine as
        such where the symptom is of the note's own system ("engine flares on the upshift").
        """
        concept, own = self.concepts[thing], bit_of(self.concepts[symptom]) & note.systems
        if own and self.terms[thing].stems in concept.vague and not self._is_ours(thing, note):
            return False
        if concept.reach == "felt" and is_within(self.terms[thing], self.terms[symptom]):
            return False
        return thing in self.scenes or self.layout.away(thing, symptom) <= BESIDE

    def _is_ours(self, thing: int, note: Told) -> bool:
        """Whether a thing is of the note's systems or told by it; a scene may stand among its conditions."""
        if thing in (note.names if thing in self.scenes else note.tells):
            return True
        return bool(bit_of(self.concepts[thing]) & note.systems)


def _is_of_a_system(part: Concept) -> bool:
    """Whether it says whose the symptom is; an event of no system does not ("before it stops")."""
    return part.kind in PARTS or bool(bit_of(part))


def _loose(terms: Sequence[Term], places: Sequence[int]) -> Mapping[int, Sequence[int]]:
    """Of some terms, the terms of their single words, as far as those are looked for."""
    word_at = {term.key[1]: at for at, term in enumerate(terms) if term.key[0] == "word"}
    return {at: [word_at[one] for one in terms[at].stems if one in word_at] or [at] for at in places}
