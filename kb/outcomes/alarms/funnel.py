"""Funnel limits: how far a cure rate may lie from the shop's by luck alone, for so many vehicles."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy
from numpy.typing import ArrayLike

from kb.outcomes.tally import Flags, Floats, Ints

OUTER_TAILS = (0.001, 0.999)
"""Limits outside which a rate is flagged: 99.8 %."""


@dataclass(frozen=True, slots=True)
class Funnel:
    """One position per update: the limits of luck for so many vehicles, and whether its rate is flagged.

    Flagged: luck alone would give so few (`seldom`) or so many cured (`often`) with a chance below .001,
    exactly; the interpolated limits would flag one vehicle of one.
    """

    lower: Floats
    upper: Floats
    seldom: Flags
    often: Flags


def funnel_limit(target: ArrayLike, vehicles: ArrayLike, tail: float) -> Floats:
    """Exact binomial limit, interpolated, clipped to 0..1: Spiegelhalter (2005), Stat. Med. 24:1185-1202.

    r is the smallest count with P(R <= r) > tail, w = (P(R <= r) - tail)/P(R = r), limit = (r - w)/n. The
    formula is given from memory of its appendix A.1.1. No vehicles: 0 for a lower tail, 1 for an upper.
    """
    p, n = np.broadcast_arrays(np.asarray(target, dtype=np.float64), np.asarray(vehicles, dtype=np.float64))
    whole = np.maximum(n, 1.0)
    r = scipy.stats.binom.ppf(tail, whole, p)
    r = np.where(scipy.stats.binom.cdf(r, whole, p) > tail, r, r + 1.0)
    share = (scipy.stats.binom.cdf(r, whole, p) - tail) / scipy.stats.binom.pmf(r, whole, p)
    limit = np.clip((r - share) / whole, 0.0, 1.0)
    return np.asarray(np.where(n > 0, limit, float(tail > 0.5)), dtype=np.float64)


def luck(target: float, vehicles: ArrayLike) -> tuple[Floats, Floats]:
    """Both limits for so many vehicles. The upper one is the lower one of the failures, so that both stand
    where a flag begins.
    """
    tail = OUTER_TAILS[0]
    return funnel_limit(target, vehicles, tail), 1.0 - funnel_limit(1.0 - target, vehicles, tail)


def funnel(target: float, vehicles: Ints, rate: Floats) -> Funnel:
    """Cure rates of so many vehicles each against the shop's (`target`), as if that share were cured of them.

    No vehicles: never flagged.
    """
    cured = np.round(rate * vehicles)
    some = vehicles > 0
    seldom = some & (scipy.stats.binom.cdf(cured, vehicles, target) < OUTER_TAILS[0])
    often = some & (scipy.stats.binom.sf(cured - 1.0, vehicles, target) < OUTER_TAILS[0])
    return Funnel(*luck(target, vehicles), seldom, often)
