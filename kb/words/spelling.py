"""Mistyped words matched to the words of the corpus, by likeness and by how usual a word is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from rapidfuzz.distance import OSA

from kb.words.english import EnglishWords, english_words, mask_of
from kb.words.known import LONGEST, KnownWords, known_words
from kb.words.likeness import likeness
from kb.words.plain import PlainWords, plain_words
from kb.words.stemming import stem

FAR_RARER = 200  # a known word this many times rarer than its neighbour is taken for a slip
LEAST_LIKENESS = 0.8
INFLECTED = ("s", "ed", "ing")  # endings of other forms of a word; of others a slip may be the cause
TRADE_COUNT = 3  # how often a word counts as seen that the lexicon has and no note uses
USUAL = 20  # a rare word of English yields to a known one, seen so often, that is one slip away
ENGLISH_LIKER = 0.01  # so much more like a word of English it must be not to be read as a known one
SURE = 0.95  # how likely a word is meant by its usual misspelling


class Reading(NamedTuple):
    """A word that a typed word may stand for; likeness 1 is certain, by names what was done."""

    word: str
    likeness: float
    by: str


@dataclass(frozen=True)
class Speller:
    """Reads a typed word as one or a few words of a vocabulary.

    | words     | whose                                       | typed, it is read as                       |
    |-----------|---------------------------------------------|--------------------------------------------|
    | `known`   | of the notes, with how often each occurs    | itself; a rare one as a usual one near too |
    | `trade`   | of the lexicon                              | itself, then what it is short for          |
    | `heard`   | only customers wrote it, perhaps misspelled | a known word that is near, and itself      |
    | `stems`   | of known words                              | itself: another form of a known word       |
    | `plain`   | of the trade, that no note needs to use     | itself, or the one word it is short for    |
    | `english` | of English                                  | itself; a rare one perhaps as a slip       |
    | `spared`  | of one query, not to be read otherwise      | itself                                     |

    No typed word is ever read as one that is only `heard`: one customer's slip would correct another's.
    """

    known: KnownWords
    trade: frozenset[str]
    most: int
    heard: frozenset[str] = frozenset()
    stems: frozenset[str] = frozenset()
    spared: frozenset[str] = frozenset()
    plain: PlainWords = field(default_factory=plain_words, repr=False)
    english: EnglishWords = field(default_factory=english_words, repr=False)
    _cache: dict[str, tuple[Reading, ...]] = field(default_factory=dict, repr=False, compare=False)

    def extended(self, new: Sequence[str], heard: Sequence[str] = ()) -> Speller:
        """A speller that also knows some new words, each seen once. Costs little, however many are known."""
        fresh = [word for word in new if word.isalpha() and word not in self.known.counts]
        unsure = frozenset(filter(str.isalpha, heard)).difference(fresh, self.heard, self.known.counts)
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

    def read_between(self, before: str, word: str, behind: str) -> tuple[Reading, ...]:
        """Readings of a folded word between two others: "breaks" before "squeal" are brakes."""
        meant = self.plain.meant(before, word, behind)
        if meant and word not in self.spared:
            return (Reading(meant, SURE, "spelling"),)
        return self.read(word)

    def read(self, word: str) -> tuple[Reading, ...]:
        """Readings of one folded word, likeliest first; the word itself alone when it is right."""
        if word in self.spared:
            return _as_typed(word)
        found = self._cache.get(word)
        if found is None:
            if len(self._cache) > 20_000:
                self._cache.clear()
            found = self._cache[word] = self._read(word)
        return found

    def _read(self, word: str) -> tuple[Reading, ...]:
        if word in self.trade:
            return _as_typed(word) + self._short(word)
        if not word.isalpha() or not 3 <= len(word) <= 2 * LONGEST:
            return _as_typed(word)
        count = self.known.counts.get(word, 0)
        besides = _as_typed(word) if count or word in self.heard else ()
        if meant := self.plain.misspelled.get(word):
            return (Reading(meant, SURE, "spelling"), *besides)
        if count:
            return besides + self._likelier(word, count) + self._short(word)
        if short := self._short(word):
            return short + besides
        if meant := self._spoken_short(word):
            return (Reading(meant, SURE, "spelling"), *besides)
        if self._is_right(word):
            return _as_typed(word)
        alike = self._alike(word)
        if parts := self._run_together(word, alike):
            return tuple(Reading(part, 0.9, "spelling") for part in parts)
        return alike + besides or _as_typed(word)

    def _short(self, word: str) -> tuple[Reading, ...]:
        """The one word that it is short for."""
        meant = self.plain.short.get(word)
        return (Reading(meant, SURE, "spelling"),) if meant else ()

    def _spoken_short(self, word: str) -> str:
        """The -ing of a known word that is said without its g: stallin."""
        whole = f"{word}g"
        spoken = self.knows(whole) or (self._is_form_of_known(whole) and not self.english.is_usual(word))
        return whole if word.endswith("in") and spoken else ""

    def _is_right(self, word: str) -> bool:
        if word in self.plain.right or self.english.is_usual(word) or self._is_form_of_known(word):
            return True
        if not (self.english.is_rare(word) or self.english.is_form_of_one(word)):
            return False
        return stem(word) in self.stems or not self._is_slip_of_usual(word)

    def _is_form_of_known(self, word: str) -> bool:
        stemmed = stem(word)
        inflected = word.endswith(INFLECTED) and stemmed != word
        return inflected and stemmed in self.stems and word not in self.heard

    def _is_slip_of_usual(self, word: str) -> bool:
        return any(self.known.counts[other] >= USUAL for other in self.known.near(word, 1))

    def _likelier(self, word: str, count: int) -> tuple[Reading, ...]:
        """A far more usual neighbour one slip away from a known but rare word that is no English."""
        if len(word) < 5 or count * FAR_RARER > self.most or self.plain.is_right(word):
            return ()
        near = [r for r in self._alike(word) if OSA.distance(r.word, word) == 1]
        return tuple(r for r in near[:1] if self.known.counts[r.word] >= FAR_RARER * count)

    def _run_together(self, word: str, alike: Sequence[Reading]) -> tuple[str, str] | None:
        """The two words of an unknown one, unless it is but a letter off a known one that it is like."""
        if len(word) < 6 or any(_is_one_letter_off(word, one.word) for one in alike):
            return None
        return self.known.split(word)

    def _alike(self, word: str) -> tuple[Reading, ...]:
        """The known words most like it, unless a word of English is more so."""
        room = 1 if len(word) <= 4 else 2 if len(word) <= 8 else 3
        scored = {other: likeness(word, other) for other in self.known.near(word, room) if other != word}
        for other in self.known.shortened(word):
            scored[other] = max(scored.get(other, 0.0), 0.86)
        worth = [
            (like + 0.02 * math.log10(1 + self.known.counts[other]), other, like)
            for other, like in scored.items()
            if like >= LEAST_LIKENESS
        ]
        worth.sort(key=lambda entry: (-entry[0], entry[1]))
        if not worth or self._is_liker_english(word, room, max(like for _, _, like in worth)):
            return ()
        close = [entry for entry in worth[:3] if entry[0] >= worth[0][0] - 0.05]
        return tuple(Reading(other, min(like, 0.95), "spelling") for _, other, like in close)

    def _is_liker_english(self, word: str, room: int, than: float) -> bool:
        near = self.english.near(mask_of(word), len(word), room)
        rivals = (other for other in near if OSA.distance(word, other, score_cutoff=room) <= room)
        return any(not self.knows(other) and likeness(word, other) > than + ENGLISH_LIKER for other in rivals)


def _as_typed(word: str) -> tuple[Reading, ...]:
    return (Reading(word, 1.0, "as typed"),)


def _is_one_letter_off(typed: str, word: str) -> bool:
    """Whether a letter is left out, typed twice or exchanged with the next: not another one instead."""
    return OSA.distance(typed, word) == 1 and (len(typed) != len(word) or sorted(typed) == sorted(word))


def make_speller(
    counts: Mapping[str, int], trade: frozenset[str] = frozenset(), heard: Iterable[str] = ()
) -> Speller:
    """A speller for words with how often each occurs; `trade` are words that are right even if never seen."""
    known = known_words({**dict.fromkeys(trade, TRADE_COUNT), **counts})
    most = max(known.counts.values(), default=0)
    unsure = frozenset(heard).difference(known.counts)
    return Speller(known, trade, most, unsure, frozenset(map(stem, known.words)))
