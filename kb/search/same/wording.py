"""Which of some notes say the same as a text, word for word or nearly so.

Words are weighed by how few of the notes at hand hold them: what a maker prints in every letter says nothing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence, Set
from math import log

from kb.words.normalise import SILENT, stem, words

LIKE = 0.4
"""Of the worth of all words of two texts, the share that both have from which they say the same."""
ENOUGH = 8.0
"""Worth of the words in common (nats) below which two short texts are alike by chance."""
_SHORTEST = 3


def said_alike(text: str, others: Mapping[int, Sequence[str]]) -> dict[int, float]:
    """By id the notes of `others` of which a text says the same, and how much alike it is, up to 1.

    LIKE and ENOUGH were chosen on recalls dealt in two by another seed than tests/bench/alike.py judges by.
    """
    mine, some = _stems(text), [(one, [_stems(each) for each in texts]) for one, texts in others.items()]
    held = Counter(word for _, texts in some for word in frozenset[str]().union(*texts))
    worth = {word: log((len(some) + 2) / (held[word] + 1)) for word in {*held, *mine}}
    found = {one: max((_likeness(mine, each, worth) for each in texts), default=0.0) for one, texts in some}
    return {one: like for one, like in found.items() if like >= LIKE}


def _likeness(mine: Set[str], theirs: Set[str], worth: Mapping[str, float]) -> float:
    both = sum(worth[word] for word in mine & theirs)
    either = sum(worth[word] for word in mine | theirs)
    return both / either if both >= ENOUGH else 0.0


def _stems(text: str) -> frozenset[str]:
    return frozenset(stem(word) for word in words(text) if len(word) >= _SHORTEST and word not in SILENT)
