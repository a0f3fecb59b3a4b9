"""Modules as a shop calls them: those of the table, "body computer", "transmission software", "ecu"."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from kb.intake.history.corrections.said_words import FILE
from kb.intake.places import overlaps
from kb.vehicle.modules import module_called, modules_named

_SAID = FILE["modules"]
_UNIT = re.compile(r"((?:[a-z]+ ){1,3}?)(?:module|computer|controller|ecu|unit)\b")
_LISTED = re.compile(rf"\b(?:{_SAID['listed']})\b")
_LOOSE = re.compile(rf"\b(?:{_SAID['loose']})")
_OTHER = re.compile(r"\b([a-z]{2,}) (?:control )?modules?\b")
_NAMES_IN_ING = ("coupling", "lighting", "parking", "charging")
_ECU = re.compile(r"\becus?\b")
_PLAIN = {one: one for one in str(_SAID["plain"]).split()} | {
    "air bag": "airbag",
    "power steering": "steering",
    "hv": "hybrid",
}
_UNNAMED = frozenset(str(_SAID["unnamed"]).split())
ANY = "ECU"


@dataclass(frozen=True, slots=True)
class Named:
    """A module, or the number of a bulletin, with its place in the words read."""

    name: str
    start: int
    end: int


def modules_of_shop(read: str) -> Iterator[Named]:
    """Each place once; one that the table does not know is called as it stands ("hvac module")."""
    taken: list[tuple[int, int]] = []
    table = (
        Named(module, start, end)
        for start, end, module in modules_named(read)
        if module != "door" or "module" in read[start:end]
    )
    units = (one for found in _UNIT.finditer(read) for one in _unit(found))
    listed = (
        Named(module_called(one[0]) or f"{one[0]} module", *one.span()) for one in _LISTED.finditer(read)
    )
    loose = (_loose(found) for found in _LOOSE.finditer(read))
    bare = (Named(ANY, one.start(), one.end()) for one in _ECU.finditer(read))
    other = (
        Named(f"{one[1]} module", one.start(), one.end()) for one in _OTHER.finditer(read) if _names(one[1])
    )
    for one in (*table, *units, *listed, *loose, *bare, *other):
        if not overlaps(one.start, one.end, taken):
            taken.append((one.start, one.end))
            yield one


def _names(word: str) -> bool:
    return word in _NAMES_IN_ING or (word not in _UNNAMED and not word.endswith(("ed", "ing")))


def _unit(found: re.Match[str]) -> Iterator[Named]:
    """Of "body computer" the body control module."""
    words = found[1].split()
    for first in range(len(words)):
        plain = " ".join(words[first:])
        if plain in _PLAIN:
            start = found.end(1) - len(plain) - 1
            yield Named(module_called(f"{_PLAIN[plain]} control module"), start, found.end())
            return


def _loose(found: re.Match[str]) -> Named:
    """Of "transmission software" and "reflashed transmission" the module, which is not named."""
    word, (start, end) = found[0], found.span()
    if found["behind"]:
        word, (start, end) = found["behind"], found.span("behind")
    plain = word.removesuffix(" control")
    return Named("infotainment" if plain == "radio" else module_called(f"{plain} control module"), start, end)
