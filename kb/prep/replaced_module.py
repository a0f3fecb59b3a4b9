"""The path of a replaced module before it is programmed; its lines are words (`replaced_module.toml`)."""

from __future__ import annotations

import re

from kb.nouns.bay.gates import Replacement
from kb.nouns.word_files import word_file
from kb.prep.lines import PrepLine
from kb.prep.release import holds_mileage

PLACE = "replaced module"
"""Where its lines stand on the list, before those of the battery."""
_FILE = word_file("kb.prep", "replaced_module.toml")
_SAID = {Replacement(kind): re.compile(rf"\b(?:{said})\b", re.I) for kind, said in _FILE["said"].items()}
_SOURCE, _LAW = "common practice; the manufacturer's procedure decides", "the law"
WHICH = "Say whether the module is new, remanufactured or used: each has another list."


def replacement_said(value: str) -> Replacement | None:
    """Which one the words of the gate tell, such as "used, from a donor"; None where they do not."""
    return next((kind for kind, said in _SAID.items() if said.search(value)), None)


def lines_of_replaced(value: str, module: str) -> tuple[PrepLine, ...]:
    """What is settled of a module that the gate says was replaced: first which one it is."""
    kind = replacement_said(value)
    if kind is None:
        return (PrepLine("replaced-kind", PLACE, WHICH, _SOURCE, blocks=True),)
    law = _group("odometer", _LAW) if not module or holds_mileage(module) else ()
    return (*_group("first"), *_group(kind.value), *_group("last"), *law)


def _group(name: str, source: str = _SOURCE) -> tuple[PrepLine, ...]:
    return tuple(
        PrepLine(f"replaced-{one['key']}", PLACE, one["text"], source, asks=one.get("asks", ""))
        for one in _FILE[name]
    )
