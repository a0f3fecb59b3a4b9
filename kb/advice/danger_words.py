"""The words that speak of a danger, as they stand in cautions.toml."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

from kb.words.normalise import words

NEAR = 6
CLAUSES = 2


@dataclass(frozen=True, slots=True)
class Group:
    """Words of one meaning: whole words, beginnings, phrases by their first word, lexicon concepts."""

    words: frozenset[str]
    beginnings: tuple[str, ...]
    phrases: Mapping[str, tuple[tuple[str, ...], ...]]
    concepts: frozenset[str]


@dataclass(frozen=True, slots=True)
class Rule:
    """One of each group of `of` stands within `near` words and at most `clauses` clauses of the others.

    Nothing of `unless` may stand there or right beside it; nothing of `nearest` nearer to the first group's
    words than the second group's.
    """

    danger: str
    of: tuple[str, ...]
    unless: tuple[str, ...] = ()
    near: int = NEAR
    clauses: int = CLAUSES
    nearest: str = ""


@dataclass(frozen=True, slots=True)
class Danger:
    """What is said about a danger, under which caution; it says what those it `covers` would say."""

    name: str
    caution: str
    sentence: str
    covers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DangerWords:
    groups: Mapping[str, Group]
    rules: tuple[Rule, ...]
    dangers: tuple[Danger, ...]

    @property
    def vocabulary(self) -> frozenset[str]:
        """Every whole word that some group uses, so that spelling knows it."""
        found: set[str] = set()
        for group in self.groups.values():
            found |= group.words
            found.update(word for phrases in group.phrases.values() for phrase in phrases for word in phrase)
        return frozenset(found)


@lru_cache(maxsize=1)
def danger_words() -> DangerWords:
    """The words that come with the package."""
    text = resources.files("kb.advice").joinpath("cautions.toml").read_text(encoding="utf-8")
    return read_danger_words(tomllib.loads(text))


def read_danger_words(said: Mapping[str, Any]) -> DangerWords:
    """From parsed TOML. Raises KeyError where a rule names no group or no danger."""
    groups = {name: _group(items) for name, items in said["groups"].items()}
    dangers = tuple(
        Danger(name, one["caution"], one["sentence"], tuple(one.get("covers", ())))
        for name, one in said["dangers"].items()
    )
    rules = tuple(_rule(one) for one in said["rules"])
    for rule in rules:
        for name in (*rule.of, *rule.unless, *filter(None, (rule.nearest,))):
            groups[name]
        said["dangers"][rule.danger]
    return DangerWords(groups, rules, dangers)


def _rule(one: Mapping[str, Any]) -> Rule:
    return Rule(
        one["danger"],
        tuple(one["all"]),
        tuple(one.get("unless", ())),
        one.get("near", NEAR),
        one.get("clauses", CLAUSES),
        one.get("nearest", ""),
    )


def _group(items: Iterable[str]) -> Group:
    whole: set[str] = set()
    beginnings, concepts = [], set()
    phrases: dict[str, list[tuple[str, ...]]] = {}
    for item in items:
        parts = tuple(words(item))
        if item.startswith("="):
            concepts.add(item[1:])
        elif item.endswith("*"):
            beginnings.append(parts[0])
        elif len(parts) == 1:
            whole.add(parts[0])
        else:
            phrases.setdefault(parts[0], []).append(parts)
    table = {first: tuple(found) for first, found in phrases.items()}
    return Group(frozenset(whole), tuple(beginnings), table, frozenset(concepts))
