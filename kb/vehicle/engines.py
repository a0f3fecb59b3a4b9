"""Comparing what a note and a vehicle say of an engine, word by word."""

from __future__ import annotations

import re

from kb.nouns.vehicles import Applies

_LITERS = re.compile(r"(?<![\w.])(\d{1,2}\.\d)\d*\s*(?:liters?|litres?|ltr|l)?(?![\d.])")
_CYLINDERS = re.compile(
    r"\b(\d{1,2})[\s-]?cyl\w*|\b([vihlw])[\s-]?(\d{1,2})\b|\b(?:inline|flat)[\s-]?(\d{1,2})\b"
)


def compare_engines(needed: str, known: str) -> Applies:
    """Whether the engine of a vehicle (`known`, not empty) is the one that a note asks for (`needed`).

    Different displacement or number of cylinders is no. Everything asked for is known: yes. Less known
    than asked for, or facts of another kind: cannot tell. Two plain names that differ: no.
    """
    if _plain(needed) == _plain(known):
        return Applies.YES
    asked, have = _facts(needed), _facts(known)
    for kind in ("liters", "cylinders"):
        if asked[kind] and have[kind] and asked[kind] != have[kind]:
            return Applies.NO
    wanted, there = set().union(*asked.values()), set().union(*have.values())
    if wanted <= there:
        return Applies.YES
    measured = any(facts[kind] for facts in (asked, have) for kind in ("liters", "cylinders"))
    return Applies.CANNOT_TELL if measured or there <= wanted else Applies.NO


def _plain(text: str) -> str:
    return re.sub(r"[\s\-]", "", text.casefold())


def _facts(text: str) -> dict[str, set[str]]:
    """Displacements, numbers of cylinders and other words; "V6" says six cylinders and a layout."""
    said = text.casefold()
    rest = _LITERS.sub(" ", said)
    found = list(_CYLINDERS.finditer(rest))
    layouts = {m[2] + m[3] for m in found if m[2]}
    words = {w.replace("-", "") for w in re.split(r"[\s,;/()]+", _CYLINDERS.sub(" ", rest))}
    return {
        "liters": {m[1] for m in _LITERS.finditer(said)},
        "cylinders": {f"{m[1] or m[3] or m[4]}cyl" for m in found},
        "words": (words | layouts) - {"", "engine"},
    }
