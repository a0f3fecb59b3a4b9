"""The words that speak of a danger, as they stand in dangers/*.toml."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from kb.advice.cautions.reading_patterns import read_patterns
from kb.advice.cautions.word_patterns import Patterns
from kb.nouns.word_files import word_file

_FILES = (
    "shared", "brakes", "steering", "fuel_and_fire", "batteries", "runaway_and_park", "wheels_and_tires",
    "engine", "trained_people",
)  # fmt: skip
NEAR = 6
CLAUSES = 2
SETTLED, REPAIRED, WELL, PAST, GOES_ON, ONLY_TOLD = (
    "settled", "repaired", "well", "past", "goes_on", "only_told",
)  # fmt: skip
HEEDED = frozenset((SETTLED, REPAIRED, WELL, PAST, GOES_ON, ONLY_TOLD))
"""Groups that every rule heeds: whether it was repaired since, or only a letter speaks of it."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One of each group of `of` stands within `near` words and at most `clauses` clauses of the others.

    Nothing of `unless` may stand there or right beside it; nothing of `nearest` nearer to the first group's
    words than the second group's. `in_order`: what is wrong is not told in a clause before its part.
    """

    danger: str
    of: tuple[str, ...]
    unless: tuple[str, ...] = ()
    near: int = NEAR
    clauses: int = CLAUSES
    nearest: str = ""
    in_order: bool = False


@dataclass(frozen=True, slots=True)
class Danger:
    """What is said about a danger, under which caution; it says what those it `covers` would say."""

    name: str
    caution: str
    sentence: str
    covers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DangerWords:
    patterns: Patterns
    rules: tuple[Rule, ...]
    dangers: tuple[Danger, ...]

    @property
    def vocabulary(self) -> frozenset[str]:
        """Every whole word that some group uses, so that spelling knows it."""
        return self.patterns.vocabulary


@lru_cache(maxsize=1)
def danger_words() -> DangerWords:
    """The words that come with the package."""
    return read_danger_words(word_file("kb.advice.cautions", f"dangers/{name}.toml") for name in _FILES)


def read_danger_words(files: Iterable[Mapping[str, Any]]) -> DangerWords:
    """From parsed TOML, in order. Raises KeyError where a rule names no group or no danger."""
    told: dict[str, dict[str, Any]] = {"dangers": {}, "groups": {}, "forms": {}, "spellings": {}}
    rules: list[Rule] = []
    for one in files:
        for name, held in told.items():
            held.update(one.get(name, {}))
        rules.extend(map(_rule, one.get("rules", ())))
    for rule in rules:
        told["dangers"][rule.danger]
    used = HEEDED.union(*map(_groups_of, rules))
    patterns = read_patterns(sorted(used), told["groups"], told["forms"], told["spellings"])
    dangers = tuple(
        Danger(name, one["caution"], one["sentence"], tuple(one.get("covers", ())))
        for name, one in told["dangers"].items()
    )
    return DangerWords(patterns, tuple(rules), dangers)


def _groups_of(rule: Rule) -> Iterable[str]:
    return (*rule.of, *rule.unless, *filter(None, (rule.nearest,)))


def _rule(one: Mapping[str, Any]) -> Rule:
    return Rule(
        one["danger"],
        tuple(one["all"]),
        tuple(one.get("unless", ())),
        one.get("near", NEAR),
        one.get("clauses", CLAUSES),
        one.get("nearest", ""),
        one.get("in_order", False),
    )
