"""Mistyped words matched to the words of the corpus, by likeness and by how usual a word is."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray
from rapidfuzz.distance import OSA, JaroWinkler

from kb.words.plain import PlainWords, plain_words
from kb.words.stemming import stem

FAR_RARER = 200  # a known word this many times rarer than its neighbour is taken for a slip
LEAST_LIKENESS = 0.72
INFLECTED = ("s", "ed", "ing")  # endings of other forms of a word; of others a slip may be the cause
TRADE_COUNT = 3  # how often a word counts as seen that the lexicon has and no note uses
_KEYBOARD = ("qwertyuiop", "asdfghjkl", "zxcvbnm")
_VOWELS = frozenset("aeiou")


@dataclass(frozen=True, slots=True)
class Reading:
    """A word that a typed word may stand for; likeness 1 is certain, by names what was done."""

    word: str
    likeness: float
    by: str


def _near_keys() -> frozenset[tuple[str, str]]:
    pairs: set[tuple[str, str]] = set()
    for row, letters in enumerate(_KEYBOARD):
        for at, letter in enumerate(letters):
            around = [letters[at + 1 : at + 2]]
            if row + 1 < len(_KEYBOARD):
                below = _KEYBOARD[row + 1]
                around += [below[at - 1 : at] if at else "", below[at : at + 1]]
            pairs.update((letter, other) for other in around if other)
            pairs.update((other, letter) for other in around if other)
    return frozenset(pairs)


NEAR_KEYS = _near_keys()


@dataclass(frozen=True)
class _Known:
    """The words that may be meant, as arrays to compare with all at once."""

    counts: Mapping[str, int]
    words: Sequence[str]
    masks: NDArray[np.uint32]
    lengths: NDArray[np.int16]

    def plus(self, new: Sequence[str]) -> _Known:
        """Some new words added, each seen once."""
        added = _known(dict.fromkeys(new, 1))
        return _Known(
            {**self.counts, **added.counts},
            [*self.words, *added.words],
            np.append(self.masks, added.masks),
            np.append(self.lengths, added.lengths),
        )


def _known(counts: Mapping[str, int]) -> _Known:
    words = sorted(word for word in counts if word.isalpha() and 3 <= len(word) <= 24)
    masks = np.array(list(map(_mask, words)), dtype=np.uint32)
    return _Known(counts, words, masks, np.array(list(map(len, words)), dtype=np.int16))


@dataclass(frozen=True)
class Speller:
    """Knows a vocabulary with counts and reads a typed word as one or a few of its words.

    `heard` are words that somebody used, which may be slips of the pen: no typed word is read as one of
    them, and one that is typed is read as a known word where one is near, and as itself besides. `plain` are
    words of English and of the trade that no note needs to use: right as typed, or short for one word. A word
    whose stem is one of the `stems` of known words is another form of it, and right.
    """

    known: _Known
    trade: frozenset[str]
    most: int
    ordered: Sequence[str]
    bones: Mapping[str, Sequence[str]]
    heard: frozenset[str] = frozenset()
    stems: frozenset[str] = frozenset()
    spared: frozenset[str] = frozenset()
    plain: PlainWords = field(default_factory=plain_words, repr=False)
    _cache: dict[str, tuple[Reading, ...]] = field(default_factory=dict, repr=False, compare=False)

    def extended(self, new: Sequence[str], heard: Sequence[str] = ()) -> Speller:
        """A speller that also knows some new words, each seen once. Costs little, however many are known."""
        fresh = [word for word in new if word not in self.known.counts]
        unsure = frozenset(heard).difference(fresh, self.heard, self.known.counts)
        if not fresh and not unsure:
            return self
        known = self.known.plus(fresh) if fresh else self.known
        stems = self.stems | set(map(stem, fresh))
        return replace(self, known=known, heard=self.heard | unsure, stems=stems, _cache={})

    def sparing(self, words: Iterable[str]) -> Speller:
        """A speller that leaves these words as they are typed."""
        spared = frozenset(words)
        return replace(self, spared=spared) if spared else self

    def knows(self, word: str) -> bool:
        return word in self.known.counts

    def read(self, word: str) -> tuple[Reading, ...]:
        """Readings of one folded word, likeliest first; the word itself alone when it is right."""
        if word in self.spared:
            return (Reading(word, 1.0, "as typed"),)
        found = self._cache.get(word)
        if found is None:
            if len(self._cache) > 20_000:
                self._cache.clear()
            found = self._cache[word] = self._read(word)
        return found

    def split(self, word: str) -> tuple[str, str] | None:
        """Two known words run together ("nocrank"), both of three letters or a usual short word."""
        best: tuple[float, tuple[str, str]] | None = None
        for at in range(2, len(word) - 1):
            left, right = word[:at], word[at:]
            if left in self.known.counts and right in self.known.counts:
                usual = min(self.known.counts[left], self.known.counts[right])
                if usual >= (5 if min(at, len(word) - at) > 2 else 50) and (best is None or usual > best[0]):
                    best = (usual, (left, right))
        return best[1] if best else None

    def _read(self, word: str) -> tuple[Reading, ...]:
        count = self.known.counts.get(word, 0)
        itself = (Reading(word, 1.0, "as typed"),)
        if not word.isalpha() or len(word) < 3 or word in self.trade:
            return itself
        if count:
            return itself + self._likelier(word, count)
        if word in self.plain.right or self._is_form_of_known(word):
            return itself
        if meant := self.plain.short.get(word):
            return (Reading(meant, 0.95, "spelling"), *(itself if word in self.heard else ()))
        if word.endswith("in") and (self.knows(word + "g") or self._is_form_of_known(word + "g")):
            return (Reading(word + "g", 0.95, "spelling"),)
        if len(word) >= 6 and (parts := self.split(word)):
            return tuple(Reading(part, 0.9, "spelling") for part in parts)
        return self._alike(word) + (itself if word in self.heard else ()) or itself

    def _is_form_of_known(self, word: str) -> bool:
        stemmed = stem(word)
        inflected = word.endswith(INFLECTED) and stemmed != word
        return inflected and stemmed in self.stems and word not in self.heard

    def _likelier(self, word: str, count: int) -> tuple[Reading, ...]:
        """A far more usual neighbour one slip away from a known but rare word."""
        if len(word) < 5 or count * FAR_RARER > self.most:
            return ()
        near = [r for r in self._alike(word) if OSA.distance(r.word, word) == 1]
        return tuple(r for r in near[:1] if self.known.counts[r.word] >= FAR_RARER * count)

    def _alike(self, word: str) -> tuple[Reading, ...]:
        scored = {other: likeness(word, other) for other in self._candidates(word) if other != word}
        for other in self._shortened(word):
            scored[other] = max(scored.get(other, 0.0), 0.86)
        worth = [
            (like + 0.02 * math.log10(1 + self.known.counts[other]), other, like)
            for other, like in scored.items()
            if like >= LEAST_LIKENESS
        ]
        worth.sort(key=lambda entry: (-entry[0], entry[1]))
        close = [entry for entry in worth[:3] if entry[0] >= worth[0][0] - 0.05]
        return tuple(Reading(other, min(like, 0.95), "spelling") for _, other, like in close)

    def _candidates(self, word: str) -> list[str]:
        room = 1 if len(word) <= 4 else 2 if len(word) <= 8 else 3
        known = self.known
        apart = np.bitwise_count(known.masks ^ np.uint32(_mask(word)))
        near = (apart <= 2 * room) & (np.abs(known.lengths - len(word)) <= room)
        likely = [known.words[at] for at in np.flatnonzero(near).tolist()]
        return [other for other in likely if OSA.distance(word, other, score_cutoff=room) <= room]

    def _shortened(self, word: str) -> Sequence[str]:
        """Usual words whose shortened form this is: consonants only (hdlmp) or cut off (intermit)."""
        found = list(self.bones.get(_bones(word), ())) if sum(c in _VOWELS for c in word) <= 1 else []
        if len(word) >= 4:
            starts = [w for w in _starting(self.ordered, word) if self.known.counts[w] >= 5]
            found += sorted(starts, key=lambda w: (-self.known.counts[w], w))[:2]
        return found


def make_speller(
    counts: Mapping[str, int], trade: frozenset[str] = frozenset(), heard: Iterable[str] = ()
) -> Speller:
    """A speller for words with how often each occurs; `trade` are words that are right even if never seen."""
    known = _known({**dict.fromkeys(trade, TRADE_COUNT), **counts})
    most = max(known.counts.values(), default=0)
    bones = _by_bones(known.words, known.counts)
    unsure = frozenset(heard).difference(known.counts)
    return Speller(known, trade, most, known.words, bones, unsure, frozenset(map(stem, known.words)))


def likeness(typed: str, word: str) -> float:
    """Between 0 and 1: the mean of 1 − d/longer (d = optimal string alignment distance) and Jaro-Winkler.

    A slip to a neighbouring key costs half a letter. OSA: Damerau, CACM 7 (1964) 171-176, restricted form;
    Jaro-Winkler: Winkler, ASA Survey Research Methods (1990) 354-359.
    """
    distance: float = OSA.distance(typed, word)
    if len(typed) == len(word):
        slips = [(a, b) for a, b in zip(typed, word, strict=True) if a != b]
        if len(slips) == distance:
            distance -= 0.5 * sum(pair in NEAR_KEYS for pair in slips)
    return 0.5 * (1 - distance / max(len(typed), len(word))) + 0.5 * float(
        JaroWinkler.similarity(typed, word)
    )


def _mask(word: str) -> int:
    mask = 0
    for letter in word:
        mask |= 1 << (ord(letter) % 31)
    return mask


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
        if counts[word] >= 5 and len(word) >= 4:
            found.setdefault(_bones(word), []).append(word)
    return {bones: sorted(group, key=lambda w: (-counts[w], w))[:3] for bones, group in found.items()}


def _starting(ordered: Sequence[str], start: str) -> Sequence[str]:
    low = bisect_left(ordered, start)
    high = bisect_left(ordered, start + "\uffff")
    return ordered[low:high]
