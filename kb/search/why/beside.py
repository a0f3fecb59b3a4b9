"""How sure a result is beside the others of its answer, which decides what of it is shown as a reason.

Of a thousand reasons read blind one in 50 was wrong where the result was the right one, one in 8 where it was
not: a word that both hold by chance is held by chance because the note is about something else.
"""

from __future__ import annotations

from typing import NamedTuple

MUCH, MOST = 0.6, 0.8
"""Shares of the words typed: the best result carries with the first, any other with the second."""
NEARLY = 0.9
"""The best result stands out where the next one scores less than this share of it."""


class Beside(NamedTuple):
    """One result: its score and the next one's as shares of the best one's, the share of the words typed that
    it holds, whether a complaint was told in full (kb/search/matching.py), whether a vehicle is known.
    """

    of_best: float
    next_of_best: float
    held: float
    in_full: bool
    for_vehicle: bool

    @property
    def is_best(self) -> bool:
        return self.of_best >= 1

    @property
    def is_sure(self) -> bool:
        """The best one for a known vehicle, which has few rivals; a long text meets any of them by chance."""
        return self.is_best and self.for_vehicle and not self.in_full

    @property
    def carries(self) -> bool:
        """Whether it holds enough: of a complaint told in full nobody asks the best one for that much."""
        return self.is_sure or self.held >= MOST or (self.is_best and (self.in_full or self.held >= MUCH))

    @property
    def stands_out(self) -> bool:
        """Whether one reason is enough for it, whatever that is."""
        if self.is_best:
            return self.is_sure or self.next_of_best < NEARLY or self.held >= MOST
        return self.for_vehicle and not self.in_full
