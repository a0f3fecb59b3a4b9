"""Names of models that are variants of one model: "SANTA FE HYBRID" and "SANTA FE", "XC60PHEV" and "XC60".

A note for one member of a family may be for another, and a vehicle may be written down by a decoder's shorter
name ("SILVERADO" for "SILVERADO 2500HD"): nobody can tell from the names. Families come from the words that
make a variant (kb/vehicle/families.toml), from groups named there, and from what the shop adds.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from kb.nouns.word_files import word_file

_BETWEEN = re.compile(r"[\s\-\u2010-\u2015_().,/+]+")
_NUMBER_BEGINS = re.compile(r"(?<=[^\d\s])\s*(?=\d)|(?<=\d)\s+(?=\d)")
_IN_BRACKETS = re.compile(r"(?<=\w)\s*\([^()]*\)\s*$")
_OF_A_SERIES = re.compile(r"([1-9])\d\d\D")


def fold(text: str) -> str:
    """Text for comparing: no case, spaces or hyphens ("T-5", "t 5" and "T5" are one)."""
    return re.sub(r"[\s\-\u2010-\u2015_]", "", text.casefold())


def bare_model(make: str, model: str) -> str:
    """A model folded, without its make in front: "Norvane 3", "NORVANE3" and "3" of a Norvane are one."""
    name = fold(model)
    return name.removeprefix(fold(make)) or name


@dataclass(frozen=True, slots=True)
class FamilyName:
    """What a name says of its family: the model it is a variant of, and shorter names that may mean it."""

    model: str
    shorter: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class FamilyEntry:
    """Names of one make that are one model (`apart` false), or that are each a model of their own."""

    make: str
    names: tuple[str, ...]
    apart: bool = False


@dataclass(frozen=True, slots=True)
class Families:
    """What is known of families besides the words: by make, names that mean a model, and names apart.

    Keys are (folded make, folded name).
    """

    meant: Mapping[tuple[str, str], str] = field(default_factory=dict)
    apart: frozenset[tuple[str, str]] = frozenset()

    @classmethod
    def of(cls, entries: Iterable[FamilyEntry]) -> Families:
        """Later entries win over earlier ones where they say otherwise."""
        meant: dict[tuple[str, str], str] = {}
        apart: set[tuple[str, str]] = set()
        for entry in entries:
            make = fold(entry.make)
            names = {(make, bare_model(make, name)) for name in entry.names}
            if entry.apart:
                apart |= names
                continue
            apart -= names
            _join(meant, make, [_by_words(make, name).model for name in entry.names])
        return cls(meant, frozenset(apart))

    def read(self, make: str, model: str) -> FamilyName:
        """The family of a model's name. Without a make only the words count."""
        key, said = _keyed(make, model)
        if key in self.apart:
            return FamilyName(f"={key[1]}")
        if not any((key[0], one) in self.meant for one in (said.model, *said.shorter)):
            return said
        shorter = frozenset(self.meant.get((key[0], one), one) for one in said.shorter)
        return FamilyName(self.meant.get((key[0], said.model), said.model), shorter)

    def related(self, make: str, one: str, other: str) -> bool:
        """Whether two names of a make are of one family. Symmetric; through a short name not transitive."""
        first, second = self.read(make, one), self.read(make, other)
        return first.model == second.model or first.model in second.shorter or second.model in first.shorter


@lru_cache(maxsize=1)
def entries_on_file() -> tuple[FamilyEntry, ...]:
    """The groups that come with the program."""
    told = _told()
    return tuple(
        FamilyEntry(one["make"], tuple(one["names"]), kind == "apart")
        for kind in ("together", "apart")
        for one in told[kind]
    )


@lru_cache(maxsize=1)
def families_on_file() -> Families:
    """The families that come with the program."""
    return Families.of(entries_on_file())


def _join(meant: dict[tuple[str, str], str], make: str, models: list[str]) -> None:
    """Let all these models, and those that mean one of them already, mean the first."""
    same = [meant.get((make, model), model) for model in models]
    for key in [key for key, model in meant.items() if key[0] == make and model in same]:
        meant[key] = same[0]
    meant.update({(make, model): same[0] for model in (*models, *same)})


@lru_cache(maxsize=1)
def _told() -> Mapping[str, Any]:
    return word_file("kb.vehicle", "families.toml")


@lru_cache(maxsize=1)
def _variants() -> tuple[tuple[tuple[str, ...], ...], re.Pattern[str]]:
    """The words of a variant, longest first, and what may stand behind a number without a space."""
    told = _told()
    words = sorted((tuple(_split(one)) for one in told["words"]), key=len, reverse=True)
    glued = "|".join(sorted(map(str.casefold, told["glued"]), key=len, reverse=True))
    return tuple(words), re.compile(rf"(.*\d)(?:{glued})")


@lru_cache(maxsize=16_384)
def _keyed(make: str, model: str) -> tuple[tuple[str, str], FamilyName]:
    """The name as `Families` keys it, and what its words tell."""
    key = (fold(make), bare_model(make, model))
    return key, _by_words(key[0], model)


def _by_words(make: str, model: str) -> FamilyName:
    """The family as the words of a name tell it: what ends it in brackets is a variant. `make` is folded."""
    words = _without_variant(_without_make(make, _split(_IN_BRACKETS.sub("", model))))
    name = " ".join(words)
    shorter = {fold(name[: found.start()]) for found in _NUMBER_BEGINS.finditer(name)}
    series = _OF_A_SERIES.match(fold(name))
    if series:
        shorter.add(f"{series[1]}series")
    return FamilyName(fold(name), frozenset(shorter))


def _split(name: str) -> list[str]:
    return [word for word in _BETWEEN.split(name.casefold()) if word]


def _without_make(make: str, words: list[str]) -> list[str]:
    """The words behind the make, if the name begins with it and goes on."""
    joined = "".join(words)
    if not make or not joined.startswith(make) or joined == make:
        return words
    left, kept = len(make), []
    for word in words:
        kept.append(word[left:])
        left = max(0, left - len(word))
    return [word for word in kept if word]


def _without_variant(words: list[str]) -> list[str]:
    """The words without those that make a variant; what is left is never empty."""
    variants, glued = _variants()
    for variant in variants:
        if len(words) > len(variant) and tuple(words[-len(variant) :]) == variant:
            return _without_variant(words[: -len(variant)])
    found = glued.fullmatch(words[-1]) if words else None
    return _without_variant([*words[:-1], found[1]]) if found else words
