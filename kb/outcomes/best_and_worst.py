"""Which reflash cures best, which worst, and which to stop selling without more diagnosis."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kb.outcomes.shrinkage import CureChances
from kb.outcomes.tally import Floats

SURE_ENOUGH = 0.9
"""Probability that the chance lies below its threshold, from which to advise to stop selling."""


@dataclass(frozen=True, slots=True)
class Ranking:
    """Positions of updates; None where the answer hangs on vehicles that nobody has asked."""

    best: int | None
    worst: int | None
    stop_selling: tuple[int, ...]


def rank(known: CureChances, silent: CureChances, level: float, thresholds: Floats) -> Ranking:
    """Best by the highest lower end, worst by the lowest upper end, both of the shrunken interval.

    `thresholds`: p* per update, the cure chance below which diagnosing first is cheaper (NaN: not known).
    `known` reads silence as not known, `silent` as fine; only what holds in both readings is said. With one
    update there is neither best nor worst. Ties go to the first position.
    """
    first, second = known.interval(level), silent.interval(level)
    several = first[0].size > 1
    best = _same(int(np.argmax(first[0])), int(np.argmax(second[0]))) if several else None
    worst = _same(int(np.argmin(first[1])), int(np.argmin(second[1]))) if several else None
    both = _surely_below(known, thresholds) & _surely_below(silent, thresholds)
    return Ranking(best, worst, tuple(int(i) for i in np.flatnonzero(both)))


def _same(first: int, second: int) -> int | None:
    return first if first == second else None


def _surely_below(chances: CureChances, thresholds: Floats) -> NDArray[np.bool_]:
    known = np.isfinite(thresholds)
    sure = chances.below(np.where(known, thresholds, 0.0)) >= SURE_ENOUGH
    return np.asarray(sure & known, dtype=np.bool_)
