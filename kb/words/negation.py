"""What somebody says is not so: "does NOT stall", "no codes", "never over bumps".

A denial reaches from its negator over three telling words at most, within its clause: a comma, "but" or
"and" end it, "or" goes on; "smooth road never does it" denies what it named before. Phrases of the trade that
hold a no ("no crank", "won't shift") are complaints; so is a duty not done ("does not idle right") or a thing
that is lacking ("no spark"). The words are data (negation.toml).
"""

from __future__ import annotations

import re
from collections.abc import Sequence, Set
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from kb.words import negators as no
from kb.words.lexicon import Lexicon
from kb.words.negators import NEGATORS
from kb.words.normalise import JOINING, SILENT, stem, words

MOST_DENIED = 3
"""Telling words that one negator denies at most."""
_FAR = 8  # words of any kind that it looks ahead or back
_CLAUSE_END = re.compile(
    r"[,;!?\n()]|\.(?!\d)|\s[-\u2013\u2014]+\s(?!\s*none\b)|\u2014|--|:(?!\s*none\b)", re.IGNORECASE
)
_FELT_KINDS = frozenset(("symptom", "lamp"))
_HEAD_KINDS = _FELT_KINDS | {"condition"}
_NAMING_KINDS = frozenset(("part", "system"))


class Said(NamedTuple):
    """One word: as it was typed, as it is read, and the number of its clause."""

    typed: str
    read: str
    clause: int


@dataclass(frozen=True, slots=True)
class Denial:
    """What is denied, in words ("does not stall"), and the places of its negator and of the denied words."""

    text: str
    negator: int
    places: tuple[int, ...]


@lru_cache(maxsize=64)  # one query asks for the same text several times
def clauses(text: str) -> tuple[int, ...]:
    """For each folded word of a text the number of its clause; a comma or a "but" begins a new one."""
    found: list[int] = []
    number = 0
    for piece in _CLAUSE_END.split(text):
        before = ""
        for word in words(piece):
            number += word in no.ENDS or (word in no.ENDS_LATER and before not in NEGATORS)
            found.append(number)
            before = word
        number += 1
    return tuple(found)


def tells(word: str) -> bool:
    """Whether a denial counts this word: neither a small word nor one that only joins."""
    return word not in SILENT and word not in JOINING and word not in NEGATORS


def denials(said: Sequence[Said], stands: Set[int], lexicon: Lexicon) -> tuple[Denial, ...]:
    """Every denial in the words said, small words included.

    The negators at the places `stands` belong to a phrase of the trade: they deny nothing but a lamp or code
    that "never came on".
    """
    read, clause = tuple([word.read for word in said]), tuple([word.clause for word in said])
    found = []
    for at, word in enumerate(read):
        if word in NEGATORS:
            negator = _Negator(read, clause, at, lexicon)
            places = negator.teller() if at in stands else negator.denied()
            if places:
                found.append(Denial(_in_words(said, at, places), at, places))
    return tuple(found)


def _in_words(said: Sequence[Said], negator: int, places: Sequence[int]) -> str:
    """From the first to the last of it as typed, with the no written out and what belongs to it."""
    first, last = min(negator, *places), max(negator, *places)
    if first == negator and said[first].read == "not" and first and said[first - 1].read in no.AUXILIARIES:
        first -= 1
    while last == negator and last + 1 < len(said) and said[last + 1].clause == said[negator].clause:
        last = min(last + 2, len(said) - 1)
    return " ".join(no.WRITTEN_OUT.get(word.read, word.typed) for word in said[first : last + 1])


@dataclass(frozen=True, slots=True)
class _Negator:
    """The negator at the place `at` of the words said."""

    said: Sequence[str]
    clause: Sequence[int]
    at: int
    lexicon: Lexicon

    @property
    def word(self) -> str:
        """A "not" is told by the word before it: "can not" is "cannot"."""
        word = self.said[self.at]
        before = self.said[self.at - 1] if self.at else ""
        return (
            {"can": "cannot", "could": "couldnt", "did": "didnt", "was": "wasnt"}.get(before, word)
            if (word == "not")
            else word
        )

    def denied(self) -> tuple[int, ...]:
        """Places of the words that it denies; none where it denies nothing."""
        ahead = self._ahead()
        spoken = [self.said[place] for place in ahead]
        if self._is_idle(spoken) or self._only_before():
            return ()
        if self._of_what_was_said(spoken):
            return () if no.IDLE.intersection(spoken) else (*self._behind(), *self._reach(ahead))
        if self.word in no.ABILITY:
            found = next((n for n, one in enumerate(spoken[:2]) if one in no.LOOKED_FOR), None)
            return () if found is None else self._thing(ahead[found + 1 :])
        if self.word in no.NOUN:
            return self._thing(ahead)
        return self.teller() or self._done(ahead)

    def teller(self) -> tuple[int, ...]:
        """The lamp or code that "never came on", or none."""
        behind, ahead = self._behind(), self._ahead()
        last = [self.said[place] for place in behind[-2:]]
        named = bool(last) and (
            last[-1] in no.TELLERS or (last[-1] in no.LIGHTS and bool(no.WARNING.intersection(last)))
        )
        appears = bool(ahead) and self.said[ahead[0]] in no.APPEARS
        return behind[-2:] if named and appears and self.word in no.VERB and not self._only_before() else ()

    def _ahead(self) -> list[int]:
        """Places after it within its clause."""
        end = min(len(self.said), self.at + 1 + _FAR)
        return [at for at in range(self.at + 1, end) if self.clause[at] == self.clause[self.at]]

    def _behind(self) -> tuple[int, ...]:
        """Places of the telling words before it, within its clause."""
        before = range(max(0, self.at - _FAR), self.at)
        mine = [at for at in before if self.clause[at] == self.clause[self.at] and tells(self.said[at])]
        return tuple(mine[-MOST_DENIED:])

    def _is_idle(self, spoken: Sequence[str]) -> bool:
        """Whether nothing is denied: "not sure why", "not always", "won't quit"."""
        after_article = spoken[1:2] if spoken[:1] and spoken[0] in no.ARTICLES else spoken[:1]
        return bool(no.IDLE.intersection(after_article)) or (
            self.word in no.REFUSES and spoken[:1] == ["quit"]
        )

    def _only_before(self) -> bool:
        """Whether it speaks of earlier: "never did it before the update"."""
        after = self.said[self.at + 1 : self.at + 1 + _FAR]
        return self.word in no.PAST and bool({"before", "until", "till"}.intersection(after))

    def _of_what_was_said(self, spoken: Sequence[str]) -> bool:
        """Whether what it denies was named before it: "smooth road never does it", "codes none"."""
        if self.word == "none":
            return True
        does_it = any(one in no.DOES and other in no.IT for one, other in pairwise(spoken[:4]))
        happens = bool(no.HAPPENS.intersection(spoken[:2]) or no.THERE.intersection(spoken[:1]))
        return self.word in no.VERB and (does_it or happens)

    def _done(self, ahead: Sequence[int]) -> tuple[int, ...]:
        """What a verb's no denies: nothing where it names a duty of the vehicle that is not done badly."""
        named = [self.said[at] for at in ahead if self.said[at] in no.OUGHT or tells(self.said[at])]
        if ahead and self.said[ahead[0]] in no.ARTICLES:
            return self._reach(ahead)
        duty = bool(named) and (named[0] in no.OUGHT or self._is_work(ahead[:2]))
        return () if duty and not no.BADLY.intersection(named[1:3]) else self._reach(ahead)

    def _is_work(self, ahead: Sequence[int]) -> bool:
        """Whether work was not done ("never tightened"), while "not tied to bumps" denies."""
        return any(
            self.said[at].endswith("ed")
            and self.said[at] not in no.TIES
            and not self._kinds(at) & _FELT_KINDS
            for at in ahead
        )

    def _thing(self, ahead: Sequence[int]) -> tuple[int, ...]:
        """What "no" denies: a sign, a symptom, an add-on; a part or supply that is lacking is a complaint."""
        tied = next((n for n, at in enumerate(ahead) if self.said[at] in no.TIED), len(ahead))
        named = [at for at in ahead[:tied] if tells(self.said[at]) or self.said[at] in no.SIGNS][:MOST_DENIED]
        spoken = [self.said[at] for at in named]
        if not named or self._lights_out(spoken):
            return ()
        kinds = {kind for at in named for kind in self._kinds(at)}
        in_use = self.word == "without" and no.IN_USE.intersection(self.said[at] for at in ahead)
        lacks = bool(no.LACKED.intersection(spoken) or kinds & _NAMING_KINDS) and not in_use
        known = no.SIGNS.intersection(spoken) or no.HAD.intersection(spoken)
        return self._reach(ahead) if known or not lacks else ()

    def _lights_out(self, spoken: Sequence[str]) -> bool:
        """Whether lights are out ("no white lights"), while "no warning lights" denies."""
        lights = next((n for n, word in enumerate(spoken) if word in no.LIGHTS), 0)
        return lights > 0 and not any(word in no.TELLERS or word in no.WARNING for word in spoken[:lights])

    def _reach(self, ahead: Sequence[int]) -> tuple[int, ...]:
        """Up to three telling words; behind a symptom only what is tied on ("when cold", "or smell")."""
        found: list[int] = []
        goes_on, headed = no.GOES_ON, False
        for n, at in enumerate(ahead):
            word = self.said[at]
            before = self.said[ahead[n - 1]] if n else ""
            tied = word in goes_on or before in goes_on or (word in no.SIGNS and before not in no.SIGNS)
            if word in NEGATORS or len(found) == MOST_DENIED or (headed and not tied):
                break
            if tells(word) or word in no.SIGNS:
                found.append(at)
                headed = headed or self._heads(at)
                if word in no.TELLERS:
                    goes_on = no.EITHER
        return tuple(found)

    def _heads(self, at: int) -> bool:
        word = self.said[at]
        return word in no.SIGNS or (word not in no.OUGHT and bool(self._kinds(at) & _HEAD_KINDS))

    def _kinds(self, at: int) -> frozenset[str]:
        """Kinds of the concepts that this word names by itself."""
        names = self.lexicon.meanings((stem(self.said[at]),))
        return frozenset(self.lexicon.concepts[name].kind for name in names)
