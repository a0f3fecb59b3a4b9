"""Which system of the vehicle a concept belongs to, and whether it is a thing or a circumstance."""

from __future__ import annotations

from kb.words.concepts import PARTS, SYSTEMS, Concept

TELLING = PARTS | {"symptom"}
"""Kinds of concepts whose words name something: they say what systems a note tells of."""
_BIT = {name: 1 << at for at, name in enumerate(SYSTEMS)}
_BIT["fuel"] = _BIT["engine"]  # "turns over forever after gas": nobody means the fuel system


def bit_of(concept: Concept) -> int:
    """The concept's system as a bit of a note's systems; 0 where it belongs to any."""
    return _BIT.get(concept.system, 0)


def is_part(concept: Concept) -> bool:
    """Whether a symptom may be this thing's."""
    return concept.kind in PARTS or concept.reach in ("function", "event")


def is_scene(concept: Concept) -> bool:
    """Whether it is a condition that speaks of one system ("over potholes")."""
    return bool(concept.system) and not is_part(concept) and is_when(concept)


def is_when(concept: Concept) -> bool:
    """Whether it says when something happens."""
    return concept.kind == "condition"
