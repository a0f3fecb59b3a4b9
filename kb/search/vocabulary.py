"""Numbers for words and stems, shared by all segments of an index. It only ever grows."""

from __future__ import annotations

from array import array
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from kb.words.normalise import SEPARATOR, SILENT, fold, stem

_BETWEEN = f" {SEPARATOR} "


class _Numbers(dict[str, int]):
    """Gives every new key the next number."""

    def __missing__(self, key: str) -> int:
        number = self[key] = len(self)
        return number


class Vocabulary:
    """Word numbers and, for each word, the number of its stem (-1 for words that carry nothing)."""

    def __init__(self) -> None:
        self._words = _Numbers({SEPARATOR: 0})
        self._texts = [SEPARATOR]
        self._stems = _Numbers()
        self._stem_of = array("i", [-1])

    @classmethod
    def of(cls, words: Sequence[str], stems: Sequence[str], stem_of: NDArray[np.int32]) -> Vocabulary:
        """One that is known already: words and stems in the order of their numbers."""
        made = cls()
        made._words, made._texts = _Numbers(zip(words, range(len(words)), strict=True)), list(words)
        made._stems = _Numbers(zip(stems, range(len(stems)), strict=True))
        made._stem_of = array("i", stem_of.tobytes())
        return made

    def __len__(self) -> int:
        return len(self._stem_of)

    @property
    def stems(self) -> list[str]:
        """Every stem, in the order of their numbers."""
        return list(self._stems)

    @property
    def stem_count(self) -> int:
        return len(self._stems)

    def number(self, texts: Sequence[str]) -> NDArray[np.int32]:
        """Word numbers of the texts one after another, each text followed by a separator (0)."""
        folded = fold_all(texts).split()
        numbers = np.fromiter(map(self._words.__getitem__, folded), dtype=np.int32, count=len(folded))
        self._learn()
        return numbers

    def stems_of(self) -> NDArray[np.int32]:
        """Stem number of every word number."""
        return np.array(self._stem_of, dtype=np.int32)

    def word_number(self, word: str) -> int | None:
        return self._words.get(word)

    def word(self, number: int) -> str:
        return self._texts[number]

    def stem_number(self, stemmed: str) -> int | None:
        return self._stems.get(stemmed)

    def words_from(self, start: int = 1) -> list[str]:
        """Words numbered from start on."""
        return self._texts[start:]

    def _learn(self) -> None:
        new = len(self._words) - len(self._texts)
        if new <= 0:
            return
        fresh = list(self._words)[len(self._texts) :] if new > 64 else _last(self._words, new)
        self._texts.extend(fresh)
        self._stem_of.extend(-1 if word in SILENT else self._stems[stem(word)] for word in fresh)


def fold_all(texts: Sequence[str]) -> str:
    """All texts folded in one go, a separator after each; one by one where a text holds other signs."""
    joined = _BETWEEN.join([*texts, ""])
    if joined.isascii() and joined.count(SEPARATOR) == len(texts):
        return fold(joined)
    return _BETWEEN.join([*(fold(text.replace(SEPARATOR, " ")) for text in texts), ""])


def _last(table: dict[str, int], count: int) -> list[str]:
    keys = []
    for key in reversed(table):
        keys.append(key)
        if len(keys) == count:
            break
    return keys[::-1]
