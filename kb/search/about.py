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
from dataclasses import dataclass

from kb.search.belonging import PARTS, bit_of, is_part, is_scene, is_when
from kb.search.nearness import gap, in_question, is_scrap, is_within, plain, same_words
from kb.search.reading import Term
from kb.words.concepts import Concept

RULE = 4
"""Counted up when the rule changes, so that what was frozen by an older one is looked at again."""
BESIDE = 4
"""A part within so many telling words of a symptom is taken for the symptom's."""
PLACED = 3
"""A part is where the symptom is ("clunk from the rear leaf spring") within so many."""
OUTWEIGH = 2
"""So many conditions or plain words of the note, typed too, outweigh another system's part."""


@dataclass(frozen=True, slots=True)
class Told:
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
    lexicon does not know; and for each symptom the terms of its neighbours.
    """

    terms: Sequence[Term]
    concepts: Mapping[int, Concept]
    symptoms: tuple[int, ...]
    parts: tuple[int, ...]
    scenes: tuple[int, ...]
    conditions: tuple[int, ...]
    plain: tuple[int, ...]
    neighbours: Mapping[int, frozenset[int]]

    @classmethod
    def of(cls, terms: Sequence[Term], lexicon: Mapping[str, Concept]) -> Asked:
        """The terms typed as themselves, sorted by what they are."""
        places = {term.key[1]: at for at, term in enumerate(terms) if term.key[0] == "concept"}
        concepts = {at: lexicon[name] for name, at in places.items() if terms[at].itself and name in lexicon}
        symptoms = tuple(at for at, one in concepts.items() if one.kind == "symptom")
        return cls(
            terms,
            concepts,
            symptoms,
            tuple(at for at, one in concepts.items() if is_part(one) and in_question(terms[at], one)),
            tuple(at for at, one in concepts.items() if is_scene(one) and in_question(terms[at], one)),
            tuple(at for at, one in concepts.items() if is_when(one)),
            plain(terms),
            {at: frozenset(places[name] for name in concepts[at].near if name in places) for at in symptoms},
        )

    @property
    def loose(self) -> tuple[int, ...]:
        """What a note may tell in these very words though no phrase is looked for."""
        return (*self.symptoms, *self.plain)

    def qualifying(self, note: Told) -> tuple[int, ...]:
        """Places of the terms by which the note is about the complaint; none where it is not."""
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
        typed = self._nearest(symptom, self.parts)
        barred = {"event"} if self._is_named(symptom, note) else set()
        told = [at for at in typed if at in note.tells and self.concepts[at].reach not in barred]
        if not told or self._blames_another(note):
            return None
        if typed[0] == told[0] or same_words(self.terms[typed[0]], self.terms[told[0]]):
            return told[0]
        if self._has_it(typed[0], symptom) and not self._is_vague(typed[0], note):
            return None
        event = next((at for at in told if self.concepts[at].reach == "event"), None)
        if event is not None:
            return event
        system = self.concepts[typed[0]].system
        near = (at for at in told if self._away(at, symptom) <= BESIDE)
        return next((at for at in near if self.concepts[at].system == system), None) if system else None

    def _nearest(self, symptom: int, places: Sequence[int]) -> list[int]:
        """Some of the things typed, nearest to the symptom first; of two as near, the one before it."""
        begins = self.terms[symptom].spots[0].begins
        return sorted(
            places, key=lambda at: (self._away(at, symptom), self.terms[at].spots[0].begins > begins)
        )

    def _is_subject(self, part: int, symptom: int) -> bool:
        """Whether a part is what has the symptom: "wiper stalls", "shudder in the brake pedal"."""
        return any(
            thing.word.clause == fault.word.clause
            and (
                gap(thing, fault) <= PLACED
                if thing.word.placed
                else gap(thing, fault) <= 1 and thing.begins < fault.begins
            )
            for thing in in_question(self.terms[part], self.concepts[part])
            for fault in self.terms[symptom].spots
        )

    def _has_it(self, part: int, symptom: int) -> bool:
        """Whether a part is what has the symptom, also right behind it: "takes long to get heat"."""
        beside = bool(bit_of(self.concepts[part])) and self._away(part, symptom) == 1
        return beside or self._is_subject(part, symptom)

    def _is_vague(self, part: int, note: Told) -> bool:
        """Whether a part is only the whole of the note's own system ("engine goes out")."""
        concept = self.concepts[part]
        return self.terms[part].stems in concept.vague and bool(bit_of(concept) & note.systems)

    def _is_named(self, symptom: int, note: Told) -> bool:
        """Whether a part of another system stands before a general symptom, at most a clause apart: "the
        washer tank is empty every two days".
        """
        return any(
            0 <= fault.word.clause - thing.word.clause <= 1 and 0 < fault.begins - thing.ends <= BESIDE
            for part in self.parts
            if self.concepts[part].reach not in ("event", "felt") and self._is_another(part, note)
            for thing in in_question(self.terms[part], self.concepts[part])
            for fault in self.terms[symptom].spots
        )

    def _blames_another(self, note: Told) -> bool:
        """Whether a part of another system is said to be what it is: "its the seat sliding"."""
        blamed = (at for at in self.parts if any(spot.word.blamed for spot in self.terms[at].spots))
        return any(self._is_another(at, note) for at in blamed)

    def _away(self, thing: int, symptom: int) -> int:
        """How many words apart a thing and a symptom were typed where they are nearest."""
        things = in_question(self.terms[thing], self.concepts[thing]) or self.terms[thing].spots
        return min(gap(one, other) for one in things for other in self.terms[symptom].spots)

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
        if nearest is not None and self._is_subject(nearest, symptom) and self._is_another(nearest, note):
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
        typed = self._nearest(symptom, (*filter(self._is_of_a_system, self.parts), *self.scenes))
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
        return thing in self.scenes or self._away(thing, symptom) <= BESIDE

    def _is_of_a_system(self, part: int) -> bool:
        """Whether it says whose the symptom is; an event of no system does not ("before it stops")."""
        return self.concepts[part].kind in PARTS or bool(bit_of(self.concepts[part]))

    def _is_ours(self, thing: int, note: Told) -> bool:
        """Whether a thing is of the note's systems or told by it; a scene may stand among its conditions."""
        if thing in (note.names if thing in self.scenes else note.tells):
            return True
        return bool(bit_of(self.concepts[thing]) & note.systems)
