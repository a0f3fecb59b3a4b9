"""Numbers for words and stems, shared by all segments of an index. It only ever grows."""

from __future__ import annotations

from array import array
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from kb.search.stored.numbered_texts import NO_TEXTS, NumberedTexts
from kb.words.normalise import SEPARATOR, SILENT, fold, stem

_BETWEEN = f" {SEPARATOR} "


class _Numbers(dict[str, int]):
    """Gives every new key the next number, after those on file. What was asked for is remembered."""

    def __init__(self, filed: NumberedTexts, first: Sequence[str] = ()) -> None:
        super().__init__(zip(first, range(len(first)), strict=True))
        self._filed, self._on_file = filed, len(filed)
        self.fresh = list(first)

    def __missing__(self, key: str) -> int:
        number = self._filed.number(key) if self._on_file else None
        if number is None:
            number = self._on_file + len(self.fresh)
            self.fresh.append(key)
        self[key] = number
        return number

    @property
    def many(self) -> int:
        return self._on_file + len(self.fresh)

    def known(self, key: str) -> int | None:
        """The number of a key that has one."""
        number = self.get(key)
        if number is None and self._on_file:
            number = self._filed.number(key)
            if number is not None:
                self[key] = number
        return number

    def key(self, number: int) -> str:
        filed = self._on_file
        return self._filed.text(number) if number < filed else self.fresh[number - filed]

    def with_figures(self) -> NDArray[np.bool_]:
        """Of each key whether a figure is in it."""
        return np.concatenate([one.with_figures() for one in (self._filed, NumberedTexts.of(self.fresh))])

    def keys_from(self, start: int) -> Iterator[str]:
        """Keys numbered from start on."""
        return map(self.key, range(start, self.many))


class Vocabulary:
    """Word numbers and, for each word, the number of its stem (-1 for words that carry nothing)."""

    def __init__(self) -> None:
        self._words, self._stems = _Numbers(NO_TEXTS, (SEPARATOR,)), _Numbers(NO_TEXTS)
        self._stem_of = array("i", [-1])
        self._filed_stem_of = np.empty(0, np.int32)

    @classmethod
    def of(cls, words: NumberedTexts, stems: NumberedTexts, stem_of: NDArray[np.int32]) -> Vocabulary:
        """One that is known already, with the stem of each word."""
        made = cls()
        made._words, made._stems = _Numbers(words), _Numbers(stems)
        made._stem_of, made._filed_stem_of = array("i"), stem_of
        return made

    def __len__(self) -> int:
        return len(self._filed_stem_of) + len(self._stem_of)

    @property
    def stem_count(self) -> int:
        return self._stems.many

    def number(self, texts: Sequence[str]) -> NDArray[np.int32]:
        """Word numbers of the texts one after another, each text followed by a separator (0)."""
        folded = fold_all(texts).split()
        numbers = np.fromiter(map(self._words.__getitem__, folded), dtype=np.int32, count=len(folded))
        self._learn()
        return numbers

    def join(self, other: Vocabulary) -> NDArray[np.int32]:
        """Learn the words of another that was made from nothing; the number here of each of its words."""
        words = other._words.fresh
        numbers = np.fromiter(map(self._words.__getitem__, words), dtype=np.int32, count=len(words))
        self._learn()
        return numbers

    def stems_of(self) -> NDArray[np.int32]:
        """Stem number of every word number."""
        return np.concatenate([self._filed_stem_of, np.array(self._stem_of, dtype=np.int32)])

    def word_number(self, word: str) -> int | None:
        return self._words.known(word)

    def word(self, number: int) -> str:
        return self._words.key(number)

    def stem_number(self, stemmed: str) -> int | None:
        return self._stems.known(stemmed)

    def words_from(self, start: int) -> list[str]:
        """Words numbered from start on."""
        return list(self._words.keys_from(start))

    def without_figures(self) -> NDArray[np.intp]:
        """Numbers of the words in which no figure is: nobody's spelling of the others is doubted."""
        return np.flatnonzero(~self._words.with_figures())

    def filed(self) -> tuple[NumberedTexts, NumberedTexts]:
        """Words and stems as a file holds them."""
        return NumberedTexts.of(self.words_from(0)), NumberedTexts.of(list(self._stems.keys_from(0)))

    def _learn(self) -> None:
        fresh = self._words.fresh[len(self._stem_of) :]
        self._stem_of.extend(-1 if word in SILENT else self._stems[stem(word)] for word in fresh)


def fold_all(texts: Sequence[str]) -> str:
    """All texts folded in one go, a separator after each; one by one where a text holds other signs."""
    joined = _BETWEEN.join([*texts, ""])
    if joined.isascii() and joined.count(SEPARATOR) == len(texts):
        return fold(joined)
    return _BETWEEN.join([*(fold(text.replace(SEPARATOR, " ")) for text in texts), ""])
