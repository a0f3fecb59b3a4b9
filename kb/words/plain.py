"""Words that a speller leaves alone or knows for short, though no note uses them (plain.toml)."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class PlainWords:
    """`right` are common English words, units and abbreviations of the trade that are never "corrected".

    `short` maps abbreviations with one meaning to the word they stand for.
    """

    right: frozenset[str]
    short: Mapping[str, str]


@lru_cache(maxsize=1)
def plain_words() -> PlainWords:
    """The list that comes with the package."""
    text = resources.files("kb.words").joinpath("plain.toml").read_text(encoding="utf-8")
    said = tomllib.loads(text)
    right = frozenset(word for name in ("english", "units", "trade") for word in said[name].split())
    return PlainWords(right, MappingProxyType(said["short"]))
