"""Words that a speller leaves alone, knows for short or knows misspelled (plain.toml, misspelled.toml)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from kb.nouns.word_files import word_file
from kb.words.english import english_words


@dataclass(frozen=True, slots=True)
class Context:
    """Where a word means another one: `read`, if one of these stands right before or right behind it."""

    read: str
    before: frozenset[str]
    behind: frozenset[str]
    unless_before: frozenset[str]
    unless_behind: frozenset[str]

    def holds(self, before: str, behind: str) -> bool:
        if before in self.unless_before or behind in self.unless_behind:
            return False
        return before in self.before or behind in self.behind


@dataclass(frozen=True, slots=True)
class PlainWords:
    """`right` are units, abbreviations of the trade and words of English that no list of English has.

    `short` maps abbreviations with one meaning, and `misspelled` usual misspellings, to the word that is
    meant; `contexts` words that mean another one only beside certain others.
    """

    right: frozenset[str]
    short: Mapping[str, str]
    misspelled: Mapping[str, str]
    contexts: Mapping[str, Context]

    def is_right(self, word: str) -> bool:
        """Whether it is English or of the trade, and no other word is meant by it."""
        if word in self.short or word in self.misspelled:
            return False
        return word in self.right or english_words().is_usual(word) or english_words().is_rare(word)

    def meant(self, before: str, word: str, behind: str) -> str | None:
        """The word that is meant by another one between these two."""
        context = self.contexts.get(word)
        return context.read if context is not None and context.holds(before, behind) else None


@lru_cache(maxsize=1)
def plain_words() -> PlainWords:
    """The lists that come with the package."""
    plain, misspelled = (word_file("kb.words", name) for name in ("plain.toml", "misspelled.toml"))
    return PlainWords(
        frozenset(word for name in ("english", "units", "trade") for word in plain[name].split()),
        MappingProxyType(plain["short"]),
        MappingProxyType(
            {
                wrong: right
                for table in ("words", "meant")
                for right, wrongs in misspelled[table].items()
                for wrong in wrongs.split()
            }
        ),
        MappingProxyType({word: _context(told) for word, told in misspelled["context"].items()}),
    )


def _context(told: Mapping[str, str]) -> Context:
    beside = ("before", "behind", "unless_before", "unless_behind")
    return Context(told["read"], *(frozenset(told.get(name, "").split()) for name in beside))
