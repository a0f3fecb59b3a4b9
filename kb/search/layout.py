"""How what was typed lies: what is near a symptom, has it or stands before it. Worked out once a query."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from kb.search.belonging import bit_of
from kb.search.nearness import gap, in_question
from kb.search.reading import Spot, Term
from kb.words.concepts import Concept

BESIDE = 4
"""A part within so many telling words of a symptom is taken for the symptom's."""
PLACED = 3
"""A part is where the symptom is ("clunk from the rear leaf spring") within so many."""


class Layout:
    """Things and symptoms are places among the terms."""

    def __init__(self, terms: Sequence[Term], concepts: Mapping[int, Concept]) -> None:
        self._terms = terms
        self._concepts = concepts
        self._things: dict[int, tuple[Spot, ...]] = {}
        self._apart: dict[tuple[int, int], int] = {}
        self._subjects: dict[tuple[int, int], bool] = {}
        self._ordered: dict[tuple[int, Sequence[int]], list[int]] = {}

    def nearest(self, symptom: int, places: tuple[int, ...]) -> list[int]:
        """Some of the things typed, nearest to the symptom first; of two as near, the one before it."""
        key = symptom, places
        if key not in self._ordered:
            begins = self._terms[symptom].spots[0].begins
            self._ordered[key] = sorted(
                places, key=lambda at: (self.away(at, symptom), self._terms[at].spots[0].begins > begins)
            )
        return self._ordered[key]

    def away(self, thing: int, symptom: int) -> int:
        """How many words apart a thing and a symptom were typed where they are nearest."""
        key = thing, symptom
        if key not in self._apart:
            things = self._in_question(thing) or self._terms[thing].spots
            self._apart[key] = min(
                [gap(one, other) for one in things for other in self._terms[symptom].spots]
            )
        return self._apart[key]

    def has_it(self, part: int, symptom: int) -> bool:
        """Whether a part is what has the symptom, also right behind it: "takes long to get heat"."""
        beside = bool(bit_of(self._concepts[part])) and self.away(part, symptom) == 1
        return beside or self.is_subject(part, symptom)

    def is_subject(self, part: int, symptom: int) -> bool:
        """Whether a part is what has the symptom: "wiper stalls", "shudder in the brake pedal"."""
        key = part, symptom
        if key not in self._subjects:
            self._subjects[key] = any(
                _is_subject(thing, fault)
                for thing in self._in_question(part)
                for fault in self._terms[symptom].spots
            )
        return self._subjects[key]

    def is_named_before(self, part: int, symptom: int) -> bool:
        """Whether a part stands before a symptom, at most a clause apart."""
        return any(
            0 <= fault.word.clause - thing.word.clause <= 1 and 0 < fault.begins - thing.ends <= BESIDE
            for thing in self._in_question(part)
            for fault in self._terms[symptom].spots
        )

    def _in_question(self, thing: int) -> tuple[Spot, ...]:
        if thing not in self._things:
            self._things[thing] = in_question(self._terms[thing], self._concepts[thing])
        return self._things[thing]


def _is_subject(thing: Spot, fault: Spot) -> bool:
    if thing.word.clause != fault.word.clause:
        return False
    if thing.word.placed:
        return gap(thing, fault) <= PLACED
    return gap(thing, fault) <= 1 and thing.begins < fault.begins
