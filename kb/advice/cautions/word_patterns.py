"""Groups of words and phrases that mean one thing, and where a complaint says them."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass
from enum import Enum, auto

from kb.search.spoken import Spoken
from kb.words.negators import ENDS, ENDS_LATER

_AND = frozenset(("and", "n", "also"))
_OPENING = ENDS | ENDS_LATER
_DENIED_ON = 3  # words after such a phrase; one denied among them takes it back ("no brake noise")
_BARE = frozenset(("no", "without", "denies", "denied"))
"""Right before a word (or its "any", "more") they deny it, whatever the lexicon knows of it."""
_BETWEEN = frozenset(("any", "more"))
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
        """Where a phrase ends that begins at `start`; what is skipped may stand in between, a comma not."""
        at = start
        for part in phrase.rest:
            at += 1
            while at < len(said.words) and not (said.words[at].read in part or said.words[at].typed in part):
                if said.words[at].typed not in self.skipped or _parts_clauses(said, at):
                    return None
                at += 1
            if at >= len(said.words) or _is_behind_a_comma(said, at):
                return None
        return at

    def _begun(self, form: str) -> list[str]:
        starts = (form[:length] for length in range(3, len(form) + 1))
        return [group for start in starts for group in self.beginnings.get(start, ())]


def _parts_clauses(said: Spoken, at: int) -> bool:
    return said.words[at].typed in _AND or _is_behind_a_comma(said, at)


def _is_behind_a_comma(said: Spoken, at: int) -> bool:
    """Whether a new clause begins here that no joining word opens."""
    return said.words[at].clause != said.words[at - 1].clause and said.words[at].typed not in _OPENING


def _is_denied(said: Spoken, first: int, last: int, own_no: Own) -> bool:
    """Whether it is not so; a phrase with a no of its own is, unless that no goes on past it."""
    if own_no is Own.OF_A_VERB:
        return False
    if own_no is Own.NONE:
        before = [word.typed for word in said.words[max(0, first - 2) : first]]
        bare = before[:1] if _BETWEEN.intersection(before[-1:]) else before[-1:]
        return bool(_BARE.intersection(bare)) or any(word.denied for word in said.words[first : last + 1])
    after = said.words[last + 1 : last + 1 + _DENIED_ON]
    return any(word.denied and word.clause == said.words[last].clause for word in after)
