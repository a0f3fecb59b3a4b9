"""How patterns are written (dangers/*.toml), and read.

A pattern is a phrase of parts: `brake pedal`. A part may be a choice (`in|into`), a verb in all its forms
(`leak+`: leaks, leaked, leakin), or the name of a list in capitals (`NOT`). `smell*` alone is any word that
begins so, `=stall` a concept of the lexicon, `@off` every pattern of that group. Small words and words that
only strengthen (`all`, `real`) may stand between the parts.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import TypeVar

from kb.advice.cautions.word_patterns import Own, Part, Patterns, Phrase
from kb.words.inflected import inflected, mistyped
from kb.words.normalise import SILENT, words
from kb.words.plain import plain_words

T = TypeVar("T")
NO = "NOT"
"""The list of the words that deny; a phrase that holds one says itself what is not so."""


def read_patterns(
    used: Iterable[str],
    groups: Mapping[str, Sequence[str]],
    forms: Mapping[str, Sequence[str]],
    spellings: Mapping[str, Sequence[str]],
) -> Patterns:
    """The groups that rules use, ready to be looked for. Raises KeyError for an unknown name.

    | in                 | stands                                                                      |
    |--------------------|-----------------------------------------------------------------------------|
    | `groups`           | patterns by group; a group is taken into another by `@name`                 |
    | `spellings`        | other ways to write a word                                                  |
    | `forms`            | forms of irregular verbs by their base, and lists by their name in capitals |
    | `forms["between"]` | words that may stand between parts                                          |
    | `forms["known"]`   | ordinary words that are no slip for one of these                            |
    | `forms["slips"]`   | words that are heard however mistyped                                       |
    """
    phrases: dict[str, list[Phrase]] = defaultdict(list)
    beginnings: dict[str, list[str]] = defaultdict(list)
    concepts: dict[str, list[str]] = defaultdict(list)
    written = _with_slips(forms, spellings)
    part_of = lru_cache(maxsize=None)(lambda part: _part(part, forms, written))
    told: set[str] = set()
    for name, item in ((group, item) for group in used for item in _items(group, groups)):
        if item.startswith("="):
            concepts[item[1:]].append(name)
        elif item.endswith("*"):
            beginnings[item[:-1]].append(name)
        else:
            raw = _split(item)
            told.update(raw)
            first, *rest = parts = [part_of(part) for part in raw]
            phrase = Phrase(name, tuple(rest), _own_no(item, parts, part_of(NO)))
            for word in first:
                phrases[word].append(phrase)
    between = SILENT | frozenset(forms["between"])
    return Patterns(_kept(phrases), _kept(beginnings), _kept(concepts), between, _vocabulary(told, forms))


def _kept(found: Mapping[str, Sequence[T]]) -> dict[str, tuple[T, ...]]:
    return {word: tuple(some) for word, some in found.items()}


def _vocabulary(parts: Iterable[str], forms: Mapping[str, Sequence[str]]) -> frozenset[str]:
    """Words that are right as they are, for spelling: no other spelling, no -in of speech."""
    every = {word for part in parts for word in _part(part, forms, {})} | set(forms["known"])
    return frozenset(word for word in every if not (word.endswith("in") and f"{word}g" in every))


def _own_no(item: str, parts: Sequence[Part], noes: Part) -> Own:
    at = next((at for at, part in enumerate(parts) if part <= noes), None)
    if at is None:
        return Own.NONE
    return Own.OF_A_VERB if NO in item.split() and "+" in item else Own.OF_A_THING


def _items(name: str, groups: Mapping[str, Sequence[str]]) -> Iterable[str]:
    for item in groups[name]:
        if item.startswith("@"):
            yield from _items(item[1:], groups)
        else:
            yield item


def _split(item: str) -> list[str]:
    """Its parts; what folds into several words ("a/c") becomes several parts, as in a complaint."""
    parts: list[str] = []
    for part in item.split():
        whole = part.isalnum() or "|" in part or "+" in part
        parts.extend([part] if whole and part.isascii() else words(part))
    return parts


def _part(part: str, forms: Mapping[str, Sequence[str]], spellings: Mapping[str, Sequence[str]]) -> Part:
    choices = part.split("|") if "|" in part else forms[part] if part.isupper() else ()
    if choices:
        return frozenset(form for one in choices for form in _part(one, forms, spellings))
    base = part.removesuffix("+")
    if base == part:
        return frozenset((part, *spellings.get(part, ())))
    said = {form for one in (base, *spellings.get(base, ())) for form in inflected(one, forms.get(one, ()))}
    return frozenset(said.union(*(spellings.get(form, ()) for form in said)))


def _with_slips(
    forms: Mapping[str, Sequence[str]], spellings: Mapping[str, Sequence[str]]
) -> dict[str, tuple[str, ...]]:
    """The spellings, and for the words under `slips` every single slip of the pen that is no other word."""
    known, plain = {*forms["known"], *forms["slips"]}, plain_words()
    slips = {
        word: sorted(slip for slip in mistyped(word) - known if not plain.is_right(slip))
        for word in forms["slips"]
    }
    return {word: (*spellings.get(word, ()), *slips.get(word, ())) for word in {*spellings, *slips}}
