"""Groups of words and phrases that mean one thing, and where a complaint says them.

A pattern is a phrase of parts: `brake pedal`. A part may be a choice (`in|into`), a verb in all its forms
(`leak+`: leaks, leaked, leakin), or the name of a list in capitals (`NOT`). `smell*` alone is any word that
begins so, `=stall` a concept of the lexicon, `@off` every pattern of that group. Small words and words that
only strengthen (`all`, `real`) may stand between the parts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass
from enum import Enum, auto
from functools import lru_cache

from kb.search.spoken import Spoken
from kb.words.inflected import inflected
from kb.words.normalise import SILENT, words

NO = "NOT"
"""The list of the words that deny; a phrase that holds one says itself what is not so."""
_DENIED_ON = 3  # words after such a phrase; one denied among them takes it back ("no brake noise")
_BARE = frozenset(("no", "without", "denies", "denied"))
"""Right before a word (or its "any") they deny it, whatever the lexicon knows of it."""
Place = tuple[int, int]
Part = frozenset[str]


class Own(Enum):
    """What no a phrase holds itself."""

    NONE = auto()
    OF_A_THING = auto()  # "no brakes"; "no brake noise" denies
    OF_A_VERB = auto()  # "wont stop"


@dataclass(frozen=True, slots=True)
class Phrase:
    group: str
    rest: tuple[Part, ...]
    own_no: Own


@dataclass(frozen=True, slots=True)
class Patterns:
    """Phrases by each first word, groups by beginning and by concept, and words skipped between parts."""

    phrases: Mapping[str, tuple[Phrase, ...]]
    beginnings: Mapping[str, tuple[str, ...]]
    concepts: Mapping[str, tuple[str, ...]]
    skipped: Set[str]
    vocabulary: frozenset[str]

    def said_in(self, said: Spoken) -> dict[str, list[Place]]:
        """Where each group is said and not denied, from its first to its last word."""
        found: dict[str, list[Place]] = {}
        for one in said.named:
            for group in self.concepts.get(one.concept, ()):
                found.setdefault(group, []).append((one.first, one.last))
        for at, word in enumerate(said.words):
            for form in {word.read, word.typed}:
                for phrase in self.phrases.get(form, ()):
                    end = self._end_of(phrase, said, at)
                    if end is not None and not _is_denied(said, at, end, phrase.own_no):
                        found.setdefault(phrase.group, []).append((at, end))
                begun = self._begun(form)
                if begun and not _is_denied(said, at, at, Own.NONE):
                    for group in begun:
                        found.setdefault(group, []).append((at, at))
        return found

    def _end_of(self, phrase: Phrase, said: Spoken, start: int) -> int | None:
        """Where a phrase ends that begins at `start`; what is skipped may stand in between."""
        at = start
        for part in phrase.rest:
            at += 1
            while at < len(said.words) and not (said.words[at].read in part or said.words[at].typed in part):
                if said.words[at].typed not in self.skipped:
                    return None
                at += 1
            if at >= len(said.words):
                return None
        return at

    def _begun(self, form: str) -> list[str]:
        starts = (form[:length] for length in range(3, len(form) + 1))
        return [group for start in starts for group in self.beginnings.get(start, ())]


def _is_denied(said: Spoken, first: int, last: int, own_no: Own) -> bool:
    """Whether it is not so; a phrase with a no of its own is, unless that no goes on past it."""
    if own_no is Own.OF_A_VERB:
        return False
    if own_no is Own.NONE:
        before = [word.typed for word in said.words[max(0, first - 2) : first]]
        bare = before[-1:] if before[-1:] != ["any"] else before[:1]
        return bool(_BARE.intersection(bare)) or any(word.denied for word in said.words[first : last + 1])
    after = said.words[last + 1 : last + 1 + _DENIED_ON]
    return any(word.denied and word.clause == said.words[last].clause for word in after)


def read_patterns(
    used: Iterable[str],
    groups: Mapping[str, Sequence[str]],
    forms: Mapping[str, Sequence[str]],
    spellings: Mapping[str, Sequence[str]],
) -> Patterns:
    """The groups that rules use, ready to be looked for.

    `groups` may be taken in by `@name`; `forms` holds irregular verbs by their base, lists by their name in
    capitals, under `between` the words that may stand between parts, under `known` ordinary words that are
    no slip for one of these. `spellings` are other ways to write a word. Raises KeyError for an unknown name.
    """
    phrases: dict[str, list[Phrase]] = {}
    beginnings: dict[str, list[str]] = {}
    concepts: dict[str, list[str]] = {}
    part_of = lru_cache(maxsize=None)(lambda part: _part(part, forms, spellings))
    noes = part_of(NO)
    for name in used:
        for item in _items(name, groups):
            if item.startswith("="):
                concepts.setdefault(item[1:], []).append(name)
            elif item.endswith("*"):
                beginnings.setdefault(item[:-1], []).append(name)
            else:
                parts = [part_of(part) for part in _split(item)]
                phrase = Phrase(name, tuple(parts[1:]), _own_no(item, parts, noes))
                for first in parts[0]:
                    phrases.setdefault(first, []).append(phrase)
    rest = {word for found in phrases.values() for one in found for part in one.rest for word in part}
    every = rest | phrases.keys() | set(forms["known"])
    return Patterns(
        {word: tuple(found) for word, found in phrases.items()},
        {begin: tuple(found) for begin, found in beginnings.items()},
        {concept: tuple(found) for concept, found in concepts.items()},
        SILENT | frozenset(forms["between"]),
        frozenset(word for word in every if not (word.endswith("in") and f"{word}g" in every)),
    )


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
        parts.extend([part] if part.isupper() or "|" in part or "+" in part else words(part))
    return parts


def _part(part: str, forms: Mapping[str, Sequence[str]], spellings: Mapping[str, Sequence[str]]) -> Part:
    choices = part.split("|") if "|" in part else forms[part] if part.isupper() else ()
    if choices:
        return frozenset(form for one in choices for form in _part(one, forms, spellings))
    base = part.removesuffix("+")
    if base == part:
        return frozenset((part, *spellings.get(part, ())))
    return frozenset().union(
        *(inflected(one, forms.get(one, ())) for one in (base, *spellings.get(base, ())))
    )
