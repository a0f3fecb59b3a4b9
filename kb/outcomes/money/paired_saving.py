"""What the advice saved in money, against the two habits, on the same concerns."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from kb.errors import BadInput
from kb.nouns.outcomes import INTERVAL_LEVEL, Interval
from kb.outcomes.tally import Floats

RESAMPLES = 2000
BLOCK = 2_000_000
"""Drawn positions held at once."""


@dataclass(frozen=True, slots=True)
class Saving:
    """Money saved on `concerns` in total, with its interval, in the unit of the costs; negative = lost."""

    concerns: int
    saved: float
    interval: Interval


def saved(
    cost_of_habit: ArrayLike, cost_of_advice: ArrayLike, level: float = INTERVAL_LEVEL, seed: int = 0
) -> Saving:
    """Sum of habit minus advice over concerns whose answer is known, so that both costs are.

    The interval is the paired percentile bootstrap over concerns: Efron & Tibshirani (1993), An Introduction
    to the Bootstrap, ch. 13. The same seed gives the same interval. Fewer than two concerns: the interval is
    the sum itself. Raises BadInput for costs that are not numbers or not paired.
    """
    habit, advice = (np.asarray(x, dtype=np.float64) for x in (cost_of_habit, cost_of_advice))
    if habit.shape != advice.shape or habit.ndim != 1:
        raise BadInput("Every concern needs both costs.", fields={"cost_of_advice": "length"})
    gain = habit - advice
    if not np.all(np.isfinite(gain)):
        raise BadInput("A cost is not a number.", fields={"cost_of_advice": "not finite"})
    total = float(gain.sum())
    if gain.size < 2:
        return Saving(gain.size, total, (total, total))
    tail = (1.0 - level) / 2.0
    low, high = np.quantile(_resampled_sums(gain, np.random.default_rng(seed)), [tail, 1.0 - tail])
    return Saving(gain.size, total, (float(low), float(high)))


def _resampled_sums(gain: Floats, rng: np.random.Generator) -> Floats:
    at_once = max(1, BLOCK // gain.size)
    sums = [
        gain[rng.integers(0, gain.size, (min(at_once, RESAMPLES - done), gain.size))].sum(axis=1)
        for done in range(0, RESAMPLES, at_once)
    ]
    return np.concatenate(sums)
