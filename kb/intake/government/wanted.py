"""Whether a shop wants a note of the government's files, and if not, why."""

from __future__ import annotations

import re
from collections.abc import Iterable

from kb.nouns.lead.notes_wanted import Beside, NotesWanted, NotWanted
from kb.nouns.notes import Remedy
from kb.vehicle.families import fold
from kb.vehicle.makes import folded_make, is_known, known_makes

_BY_LETTER = {"C": Beside.CHILD_SEATS, "T": Beside.TIRES, "E": Beside.EQUIPMENT}
_BY_COMPONENT = (
    ("child seat", Beside.CHILD_SEATS),
    ("tires", Beside.TIRES),
    ("trailer", Beside.TRAILERS),
    ("equipment", Beside.EQUIPMENT),
)
_TRAILER_NAME = re.compile(r"\btrailers?\b|\b5th wheel\b|\bfifth wheel\b", re.I)
_TRAILERS = re.compile(r"\b(?:travel trailers?|fifth[- ]wheels?|semi-?trailers?|trailers)\b", re.I)


def of_recall(number: str, products: Iterable[tuple[str, str]], texts: Iterable[str]) -> Beside | None:
    """What the recall is about beside vehicles, by the letter of its number (24E096: equipment). Trailers
    share the V of vehicles: they are told by their own name, or by most of their documents.
    """
    if number[2:3] in _BY_LETTER:
        return _BY_LETTER[number[2:3]]
    if all(_TRAILER_NAME.search(f"{make} {model}") for make, model in products):
        return Beside.TRAILERS
    said = [bool(_TRAILERS.search(text)) for text in texts]
    unknown = not any(fold(make) in known_makes().printed for make, _ in products)
    return Beside.TRAILERS if unknown and sum(said) * 2 > len(said) else None


def of_components(components: Iterable[str], has_year: bool, makes: Iterable[str]) -> Beside | None:
    """The same by the components of a communication, in plain words. What has a model year is a vehicle.

    So is the equipment of a maker of vehicles (its air conditioner): whoever makes equipment alone is no make
    that everybody knows. Tires and child seats may bear a vehicle's make.
    """
    first = next(iter(components), "")
    if has_year:
        return None
    beside = next((beside for start, beside in _BY_COMPONENT if first.startswith(start)), None)
    return None if beside is Beside.EQUIPMENT and any(map(is_known, makes)) else beside


def why_not(wanted: NotesWanted, makes: Iterable[str], beside: Beside | None) -> NotWanted | None:
    """Why nobody wants a note of these makes, about that; None where it is wanted."""
    if beside is not None and beside not in wanted.also:
        return NotWanted(beside.value)
    kept = {folded_make(make) for make in wanted.makes}
    theirs = {folded_make(make) for make in makes}
    return NotWanted.OTHER_MAKES if kept and kept.isdisjoint(theirs) else None


def lacks_software(wanted: NotesWanted, remedy: Remedy) -> bool:
    """Whether only software is wanted and this is none."""
    return wanted.software_only and not remedy.holds_software
