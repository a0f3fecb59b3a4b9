"""Whether a note is about what was typed, or merely shares words with it.

A shared word is no reason to program a module. A note is about a complaint by a symptom that was typed as
itself (not through a neighbour, not inside a longer phrase) and that the note tells in its title, its symptom
or the defect of a recall, never in conditions, precautions or body. What the symptom must bring along is its
`reach` in the lexicon:

reach     | qualifies
own       | by itself ("flare" is a transmission's)
shared    | unless a part was typed that belongs to another system than the note's and that it does not name
general   | only with its part, the one typed nearest to it ("wiper dead" is about wipers)
function  | a condition or system that is itself what stopped ("auto stop quit"): as the part of a symptom

Trouble codes qualify too, but whether a code defines a condition is known to the note, not to the search.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from kb.search.reading import Term
from kb.words.lexicon import SYSTEMS, Concept

RULE = 1
"""Counted up when the rule changes, so that what was frozen by an older one is looked at again."""
PARTS = frozenset({"part", "system", "lamp"})
_BIT = {name: 1 << at for at, name in enumerate(SYSTEMS)}


def bit_of(concept: Concept) -> int:
    """The concept's system as a bit of a note's systems; 0 where it belongs to any."""
    return _BIT.get(concept.system, 0)


def is_part(concept: Concept) -> bool:
    """Whether a general symptom may be this thing's."""
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
    """What a complaint asks for by itself: places among its terms of symptoms, and of parts and functions."""

    terms: Sequence[Term]
    concepts: Mapping[int, Concept]
    symptoms: tuple[int, ...]
    parts: tuple[int, ...]

    @classmethod
    def of(cls, terms: Sequence[Term], lexicon: Mapping[str, Concept]) -> Asked:
        """The terms typed as themselves, sorted by what they are."""
        concepts = {
            at: lexicon[term.key[1]]
            for at, term in enumerate(terms)
            if term.itself and term.key[0] == "concept" and term.key[1] in lexicon
        }
        return cls(
            terms,
            concepts,
            tuple(at for at, one in concepts.items() if one.kind == "symptom"),
            tuple(at for at, one in concepts.items() if is_part(one)),
        )

    def qualifying(self, note: Told) -> tuple[int, ...]:
        """Places of the terms by which the note is about the complaint; none where it is not."""
        found: dict[int, None] = {}
        for at in self.symptoms:
            reach = self.concepts[at].reach
            if reach == "general":
                part = self._its_part(at)
                if part is not None and {at, part} <= note.tells | self._functions(part, note):
                    found |= {at: None, part: None}
            elif at in note.tells and (reach == "own" or not self._vetoed(at, note)):
                found[at] = None
        return tuple(found)

    def _its_part(self, symptom: int) -> int | None:
        """The part typed nearest to a symptom; of two as near, the one before it."""
        place = self.terms[symptom].unit
        return min(
            self.parts,
            key=lambda at: (abs(self.terms[at].unit - place), self.terms[at].unit > place),
            default=None,
        )

    def _functions(self, part: int, note: Told) -> frozenset[int]:
        """A function that stopped needs no word for stopping in the note's title."""
        told = self.concepts[part].reach == "function" and part in note.tells
        return frozenset(self.symptoms) if told else frozenset()

    def _vetoed(self, symptom: int, note: Told) -> bool:
        """Whether the parts typed are of other systems than the note's, and none of them named by it."""
        systems = [bit_of(self.concepts[at]) for at in self.parts]
        others = [bits for bits in systems if bits and not bits & note.systems]
        ours = any(at in note.names for at in self.parts) or any(bits & note.systems for bits in systems)
        return bool(others) and not ours
