"""Funnel limits: how far a cure rate may lie from the shop's by luck alone, for so many vehicles."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy import stats

from kb.outcomes.silence import Silence, SilentCounts
from kb.outcomes.tally import Floats

OUTER_TAILS = (0.001, 0.999)
"""Limits outside which a rate is flagged: 99.8 %."""


@dataclass(frozen=True, slots=True)
class Funnel:
    """One position per update: vehicles that count in full, their cure rate, its limits, and the flags.

    Vehicles in the window count by the share of failures that would have shown, so `vehicles` is rounded.
    An update without vehicles has rate = target and is not flagged. Flagged: luck alone would give so few
    or so many cured with a chance below .001, exactly; the interpolated limits would flag one vehicle of one.
    """

    target: float
    vehicles: Floats
    rate: Floats
    lower: Floats
    upper: Floats
    flagged: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]


def funnel_limit(target: ArrayLike, vehicles: ArrayLike, tail: float) -> Floats:
    """Exact binomial limit, interpolated, clipped to 0..1: Spiegelhalter (2005), Stat. Med. 24:1185-1202.

    r is the smallest count with P(R <= r) > tail, w = (P(R <= r) - tail)/P(R = r), limit = (r - w)/n. The
    formula is given from memory of its appendix A.1.1. No vehicles: 0 for a lower tail, 1 for an upper.
    """
    p, n = np.broadcast_arrays(np.asarray(target, dtype=np.float64), np.asarray(vehicles, dtype=np.float64))
    whole = np.maximum(n, 1.0)
    r = stats.binom.ppf(tail, whole, p)
    r = np.where(stats.binom.cdf(r, whole, p) > tail, r, r + 1.0)
    share = (stats.binom.cdf(r, whole, p) - tail) / stats.binom.pmf(r, whole, p)
    limit = np.clip((r - share) / whole, 0.0, 1.0)
    return np.asarray(np.where(n > 0, limit, float(tail > 0.5)), dtype=np.float64)


def funnel(counts: SilentCounts, shop: SilentCounts, silence: Silence) -> Funnel:
    """Every update of `counts` against the cure rate of the whole `shop`; flagged outside the 99.8 % limits.

    Both rates are failures over the vehicles that count in full, so that they can be held against each other.
    The upper limit is the lower one of the failures, so that both stand where a flag begins.
    """
    exposed = np.round(counts.exposed(silence))
    everyone = float(shop.pooled().exposed(silence)[0])
    target = 1.0 - float(shop.failed.sum()) / everyone if everyone else 1.0
    told = exposed > 0
    rate = np.where(told, 1.0 - np.minimum(counts.failed / np.maximum(exposed, 1.0), 1.0), target)
    tail = OUTER_TAILS[0]
    lower = funnel_limit(target, exposed, tail)
    upper = 1.0 - funnel_limit(1.0 - target, exposed, tail)
    cured = np.round(rate * exposed)
    seldom = stats.binom.cdf(cured, exposed, target) < OUTER_TAILS[0]
    often = stats.binom.sf(cured - 1.0, exposed, target) < OUTER_TAILS[0]
    flagged = told & (seldom | often)
    return Funnel(target, exposed, rate, lower, upper, flagged)
