"""The words that a typed one may stand for, as arrays to compare with all at once."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from rapidfuzz.distance import OSA

from kb.words.english import mask_of
from kb.words.normalise import JOINING

USUAL = 5  # a word seen so often may be meant by its bones, its beginning or its end
VERY_USUAL = 50
LONGEST = 24  # letters of a word that may be meant
_VOWELS = frozenset("aeiou")


@dataclass(frozen=True)
class KnownWords:
    """Words sorted, with how often each was seen; `bones` are the usual words by their consonants."""

    counts: Mapping[str, int]
    words: Sequence[str]
    masks: NDArray[np.uint32]
    lengths: NDArray[np.int16]
    ordered: Sequence[str]
    bones: Mapping[str, Sequence[str]]

    def plus(self, new: Sequence[str]) -> KnownWords:
        """Some new words added, each seen once; too rare to be meant by less than all their letters."""
        words = _comparable(new)
        return KnownWords(
            {**self.counts, **dict.fromkeys(new, 1)},
            [*self.words, *words],
            np.append(self.masks, _masks(words)),
            np.append(self.lengths, _lengths(words)),
            self.ordered,
            self.bones,
        )

    def near(self, word: str, room: int) -> list[str]:
        """The words at most `room` slips of the pen away."""
        apart = np.bitwise_count(self.masks ^ np.uint32(mask_of(word)))
        close = (apart <= 2 * room) & (np.abs(self.lengths - len(word)) <= room)
        likely = [self.words[at] for at in np.flatnonzero(close).tolist()]
        return [other for other in likely if OSA.distance(word, other, score_cutoff=room) <= room]

    def shortened(self, word: str) -> Sequence[str]:
        """Usual words whose shortened form this is: consonants only (hdlmp) or cut off (intermit)."""
        found = list(self.bones.get(_bones(word), ())) if sum(c in _VOWELS for c in word) <= 1 else []
        if len(word) >= 4:
            low, high = (bisect_left(self.ordered, end) for end in (word, word + "\uffff"))
            starts = [w for w in self.ordered[low:high] if self.counts[w] >= USUAL]
            found += sorted(starts, key=lambda w: (-self.counts[w], w))[:2]
        return found

    def split(self, word: str) -> tuple[str, str] | None:
        """Two words run together ("nocrank"): the most usual two."""
        cuts = [(word[:at], word[at:]) for at in range(2, len(word) - 1)]
        likely = [parts for parts in cuts if self._may_stand_alone(*parts)]
        return max(likely, key=lambda parts: min(self.counts[part] for part in parts), default=None)

    def _may_stand_alone(self, left: str, right: str) -> bool:
        """Whether both are known and usual: a short one very, unless it joins ("fillup") or is a no."""
        if left not in self.counts or right not in self.counts:
            return False
        if left == "no" and len(right) >= 4:
            return True
        short = min(left, right, key=len)
        least = USUAL if len(short) > 2 or short in JOINING else VERY_USUAL
        return min(self.counts[left], self.counts[right]) >= least


def known_words(counts: Mapping[str, int]) -> KnownWords:
    """Words with how often each was seen."""
    words = sorted(_comparable(counts))
    return KnownWords(counts, words, _masks(words), _lengths(words), words, _by_bones(words, counts))


def _comparable(words: Iterable[str]) -> list[str]:
    return [word for word in words if word.isalpha() and 3 <= len(word) <= LONGEST]


def _masks(words: Sequence[str]) -> NDArray[np.uint32]:
    return np.array(list(map(mask_of, words)), dtype=np.uint32)


def _lengths(words: Sequence[str]) -> NDArray[np.int16]:
    return np.array(list(map(len, words)), dtype=np.int16)


def _bones(word: str) -> str:
    """First letter and the consonants after it, doubled ones once: headlamp -> hdlmp, cluster -> clstr."""
    kept = word[:1]
    for letter in word[1:]:
        if letter not in _VOWELS and letter != kept[-1]:
            kept += letter
    return kept


def _by_bones(vocabulary: Sequence[str], counts: Mapping[str, int]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for word in vocabulary:
        if counts[word] >= USUAL and len(word) >= 4:
            found.setdefault(_bones(word), []).append(word)
    return {bones: sorted(group, key=lambda w: (-counts[w], w))[:3] for bones, group in found.items()}
