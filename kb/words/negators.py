"""The words that make a no, bound it or take it back, as they stand in negation.toml."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from kb.nouns.word_files import word_file

_FILE = word_file("kb.words", "negation.toml")


def _listed(name: str) -> frozenset[str]:
    return frozenset(str(_FILE[name]).split())


VERB, NOUN, ABILITY = _listed("verb"), _listed("noun"), _listed("ability")
NEGATORS = VERB | NOUN | ABILITY
PAST, REFUSES, AUXILIARIES = _listed("past"), _listed("refuses"), _listed("auxiliaries")
LOOKED_FOR, IDLE = _listed("looked_for"), _listed("idle")
ENDS, ENDS_LATER = _listed("ends"), _listed("ends_later")
TIED, EITHER, ARTICLES = _listed("tied"), _listed("either"), _listed("articles")
TIMES = _listed("times")
GOES_ON = TIED | EITHER | ARTICLES
OUGHT, BADLY, TIES = _listed("ought"), _listed("badly"), _listed("ties")
LACKED, IN_USE, SIGNS, HAD = _listed("lacked"), _listed("in_use"), _listed("signs"), _listed("had")
TELLERS, LIGHTS, WARNING, APPEARS = map(_listed, ("tellers", "lights", "warning", "appears"))
FINE, FLAWS = _listed("fine"), _listed("flaws")
HOLDING, HELD = _listed("holding"), _listed("held")
DOES, IT, HAPPENS, THERE = map(_listed, ("does", "it", "happens", "there"))
WRITTEN_OUT: Mapping[str, str] = MappingProxyType(dict(_FILE["written_out"]))
"""Negators as they are shown: "doesnt" as "does not"."""
