"""Which words are English: the list of the package pyspellchecker (MIT), with how usual each is.

The package counts the words of film subtitles and puts words that it knows of dictionaries only at
`LEAST_COUNT`. Those are read with care: "sopped" is among them, and most who type it mean "stopped".
"""

from __future__ import annotations

import gzip
import json
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

import numpy as np
from numpy.typing import NDArray

from kb.words.inflected import inflected

LEAST_COUNT = 50
EVERYDAY = 5_000
MOST_LETTERS = 20
_SHORTENED = ("n't", "'re", "'ve", "'ll")
"""Often written without the apostrophe: "doesnt"."""
LETTERS = 31


@dataclass(frozen=True, slots=True)
class EnglishWords:
    """Sorted words as bytes: `usual` ones, with the bits of their letters, and `rare` ones.

    `everyday` are the most usual of all, which say little by themselves.
    """

    usual: NDArray[np.bytes_]
    rare: NDArray[np.bytes_]
    masks: NDArray[np.uint32]
    lengths: NDArray[np.int16]
    everyday: frozenset[str]

    def is_usual(self, word: str) -> bool:
        return _holds(self.usual, word)

    def is_rare(self, word: str) -> bool:
        return _holds(self.rare, word)

    def is_form_of_one(self, word: str) -> bool:
        """Whether it is a form that the list leaves out of a word that it has: "derates", "juddery"."""
        return any(
            (self.is_usual(base) or self.is_rare(base)) and (word.endswith("y") or word in inflected(base))
            for base in _bases(word)
        )

    def near(self, mask: int, length: int, room: int) -> list[str]:
        """The usual words that may be `room` slips away from one with these letters."""
        apart = np.bitwise_count(self.masks ^ np.uint32(mask))
        found = (apart <= 2 * room) & (np.abs(self.lengths - length) <= room)
        return [word.decode("ascii") for word in self.usual[found].tolist()]


@lru_cache(maxsize=1)
def english_words() -> EnglishWords:
    """The list of the package, read once."""
    packed = resources.files("spellchecker").joinpath("resources/en.json.gz").read_bytes()
    told: dict[str, int] = json.loads(gzip.decompress(packed))
    counts = {word: count for word, count in told.items() if _is_plain(word)}
    for word in filter(lambda one: one.endswith(_SHORTENED), told):
        short = word.replace("'", "")
        counts[short] = max(counts.get(short, 0), told[word])
    words = np.array(list(counts), dtype=f"S{MOST_LETTERS}")
    order, often = words.argsort(), np.fromiter(counts.values(), dtype=np.int64)
    usual = words[order[often[order] > LEAST_COUNT]]
    letters = usual.view(np.uint8).reshape(len(usual), MOST_LETTERS).astype(np.uint32)
    bits = np.where(letters > 0, np.uint32(1) << (letters % LETTERS), np.uint32(0))
    return EnglishWords(
        usual,
        words[order[often[order] <= LEAST_COUNT]],
        np.bitwise_or.reduce(bits, axis=1),
        np.count_nonzero(letters, axis=1).astype(np.int16),
        frozenset(words[often >= EVERYDAY].astype(str).tolist()),
    )


def mask_of(word: str) -> int:
    """One bit for each letter that a word holds; letters beyond a to z share the bits."""
    mask = 0
    for letter in word:
        mask |= 1 << (ord(letter) % LETTERS)
    return mask


def _bases(word: str) -> Iterator[str]:
    """What a word may be a form of, if it is one."""
    for ending in ("s", "es", "ed", "ing", "y"):
        root = word.removesuffix(ending)
        if root != word and len(root) >= 4:
            yield from (root, f"{root}e", root[:-1] if root[-1] == root[-2] else root)


def _is_plain(word: str) -> bool:
    return word.isalpha() and word.isascii() and 3 <= len(word) <= MOST_LETTERS


def _holds(words: NDArray[np.bytes_], word: str) -> bool:
    if not word.isascii():
        return False
    at = int(words.searchsorted(word.encode("ascii")))
    return at < len(words) and words[at] == word.encode("ascii")
