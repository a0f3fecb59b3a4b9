"""Whether a note is about what was typed, or merely shares words with it.

A shared word is no reason to program a module. A note is about a complaint by a symptom that was typed as
itself (not through a neighbour, not inside a longer phrase) and that the note tells in its title, its symptom
or the defect of a recall, never in conditions, precautions or body. What the symptom must bring along is its
`reach` in the lexicon:

reach     | qualifies
own       | by itself ("flare" is a transmission's)
shared    | unless what has it ("wiper stalls") is of another system than the note's and not named by it, or
          | every part typed near it is; two of the note's conditions or plain words outweigh the latter
general   | only with its part, the one typed nearest to it ("wiper dead" is about wipers), or another of that
          | part's system that the note tells; the note may tell a neighbour of the symptom
function  | a condition or system that is itself what stopped ("auto stop quit"): as the part of a symptom

A part in a comparison ("like a flat tire") or said to be right ("cluster is fine") is none. Trouble codes
qualify too, but whether a code defines a condition is known to the note, not to the search.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from kb.search.reading import Term
from kb.words.lexicon import SYSTEMS, Concept

RULE = 1
"""Counted up when the rule changes, so that what was frozen by an older one is looked at again."""
BESIDE = 4
"""A part within so many telling words of a symptom is taken for the symptom's."""
OUTWEIGH = 2
"""So many conditions or plain words of the note, typed too, outweigh another system's part."""
ENGINE = "engine"
PARTS = frozenset({"part", "system", "lamp"})
TELLING = PARTS | {"symptom"}
"""Kinds of concepts that say what systems a note tells of."""
_BIT = {name: 1 << at for at, name in enumerate(SYSTEMS)}
_BIT["fuel"] = _BIT["engine"]  # "turns over forever after gas": nobody means the fuel system


def bit_of(concept: Concept) -> int:
    """The concept's system as a bit of a note's systems; 0 where it belongs to any."""
    return _BIT.get(concept.system, 0)


def is_part(concept: Concept) -> bool:
    """Whether a symptom may be this thing's."""
    return concept.kind in PARTS or concept.reach == "function"


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
    """What a complaint asks for by itself: places among its terms of symptoms, of parts and functions, of
    conditions, of plain words that the lexicon does not know; and for each symptom the terms of its
    neighbours.
    """

    terms: Sequence[Term]
    concepts: Mapping[int, Concept]
    symptoms: tuple[int, ...]
    parts: tuple[int, ...]
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
            tuple(at for at, one in concepts.items() if is_part(one) and not _is_beside_the_point(terms[at])),
            tuple(at for at, one in concepts.items() if one.kind == "condition"),
            _plain(terms),
            {at: frozenset(places[name] for name in concepts[at].near if name in places) for at in symptoms},
        )

    def qualifying(self, note: Told) -> tuple[int, ...]:
        """Places of the terms by which the note is about the complaint; none where it is not."""
        found: dict[int, None] = {}
        for at in self.symptoms:
            reach = self.concepts[at].reach
            if reach == "general":
                part = self._its_part(at, note)
                if part is not None and self._tells_of(at, part, note):
                    found |= {at: None, part: None}
            elif at in note.tells and (reach == "own" or not self._vetoed(at, note)):
                found[at] = None
        return tuple(found)

    def _its_part(self, symptom: int, note: Told) -> int | None:
        """The part typed nearest to a symptom (of two as near, the one before it) if the note tells it, else
        another one typed near it, of the same system, that the note tells.
        """
        nearest = next(iter(self._nearest(symptom)), None)
        if nearest is None or nearest in note.tells:
            return nearest
        system = self.concepts[nearest].system
        near = (at for at in self.parts if at in note.tells and self._away(at, symptom) <= BESIDE)
        alike = (at for at in near if self.concepts[at].system == system)
        return next(alike, None) if system else None

    def _nearest(self, symptom: int) -> list[int]:
        """The parts typed, nearest to the symptom first; of two as near, the one before it."""
        place = self.terms[symptom].unit
        return sorted(self.parts, key=lambda at: (self._away(at, symptom), self.terms[at].unit > place))

    def _is_subject(self, part: int, symptom: int) -> bool:
        """Whether a part is what has the symptom: "wiper stalls", "shudder in the brake pedal"."""
        thing, fault = self.terms[part].first, self.terms[symptom].first
        if thing is None or fault is None or thing.clause != fault.clause or self._away(part, symptom) > 1:
            return False
        return thing.unit < fault.unit or thing.placed

    def _away(self, part: int, symptom: int) -> int:
        return abs(self.terms[part].unit - self.terms[symptom].unit)

    def _tells_of(self, symptom: int, part: int, note: Told) -> bool:
        """Whether the note tells the part, and the symptom or a neighbour; a function needs no symptom.

        The engine as a whole says too little.
        """
        if part not in note.tells or self.concepts[part].id == ENGINE:
            return False
        told = symptom in note.tells or not self.neighbours[symptom].isdisjoint(note.tells)
        return told or self.concepts[part].reach == "function"

    def _vetoed(self, symptom: int, note: Told) -> bool:
        """Whether what has it is another system's; or every part near it is, and nothing outweighs."""
        near = [at for at in self._nearest(symptom) if self._away(at, symptom) <= BESIDE]
        ours = [at in note.names or bool(bit_of(self.concepts[at]) & note.systems) for at in near]
        others = [bool(bit_of(self.concepts[at])) and not our for at, our in zip(near, ours, strict=True)]
        right_beside = others[:1] == [True] and self._is_subject(near[0], symptom)
        shared = sum(at in note.names for at in self.conditions) + sum(at in note.tells for at in self.plain)
        return right_beside or (any(others) and not any(ours) and shared < OUTWEIGH)


def _is_beside_the_point(term: Term) -> bool:
    """Whether a thing is only compared with, or said to be right."""
    return term.first is not None and (term.first.compared or term.first.fine)


def _plain(terms: Sequence[Term]) -> tuple[int, ...]:
    """Words typed as they stand that no concept takes in; figures tell nothing."""
    return tuple(
        at
        for at, term in enumerate(terms)
        if term.key[0] == "word" and term.itself and term.typed == term.read_as and term.typed.isalpha()
    )
