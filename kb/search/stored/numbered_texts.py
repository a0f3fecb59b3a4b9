"""Distinct texts in the order of their numbers, as arrays that a file holds: looked up where they lie.

Objects made of some hundred thousand words would be memory of each process, and time of each start.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from zlib import crc32

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class NumberedTexts:
    """`joined` are the texts one after another in UTF-8, `ends` where each ends, `sums` their checksums
    (CRC-32) ascending and `order` the number of the text of each: many texts may have one checksum.
    """

    joined: NDArray[np.uint8]
    ends: NDArray[np.int64]
    sums: NDArray[np.uint32]
    order: NDArray[np.int32]

    @classmethod
    def of(cls, texts: Sequence[str]) -> NumberedTexts:
        encoded = [text.encode() for text in texts]
        sums = np.fromiter(map(crc32, encoded), np.uint32, len(encoded))
        order = np.argsort(sums, kind="stable").astype(np.int32)
        ends = np.cumsum(np.fromiter(map(len, encoded), np.int64, len(encoded)))
        return cls(np.frombuffer(b"".join(encoded), np.uint8), ends, sums[order], order)

    def __len__(self) -> int:
        return len(self.ends)

    def number(self, text: str) -> int | None:
        """The number of a text; None where it is not among them."""
        encoded = text.encode()
        total = np.uint32(crc32(encoded))
        at = int(self.sums.searchsorted(total))
        while at < len(self.sums) and self.sums[at] == total:
            number = int(self.order[at])
            if self._encoded(number) == encoded:
                return number
            at += 1
        return None

    def text(self, number: int) -> str:
        return self._encoded(number).decode()

    def with_figures(self) -> NDArray[np.bool_]:
        """Of each text whether a figure of 0 to 9 is in it."""
        figures = np.append((self.joined >= ord("0")) & (self.joined <= ord("9")), False)
        lengths = np.diff(self.ends, prepend=0)
        return np.logical_or.reduceat(figures, self.ends - lengths) & (lengths > 0)

    def _encoded(self, number: int) -> bytes:
        begins = int(self.ends[number - 1]) if number else 0
        return self.joined[begins : int(self.ends[number])].tobytes()


NO_TEXTS = NumberedTexts.of(())
