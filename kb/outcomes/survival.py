"""How long a cure holds: the Kaplan-Meier curve, its error, and the log-rank comparison."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import special

from kb.outcomes.tally import DayCounts, Floats


@dataclass(frozen=True, slots=True)
class Curve:
    """Share still free of the concern after each day 0..W (last axis), and vehicles at risk that day."""

    at_risk: Floats
    failed: Floats
    survival: Floats

    @property
    def at_window(self) -> Floats:
        """The share at the window's last day, one number per group."""
        last: Floats = self.survival[..., -1]
        return last


def kaplan_meier(counts: DayCounts) -> Curve:
    """Kaplan & Meier (1958), JASA 53:457-481: the product of 1 - failed/at risk over the days.

    A vehicle last seen on a day is still at risk that day. After the last sighting the curve stays level.
    """
    leaving = counts.failed + counts.free
    at_risk = np.flip(np.cumsum(np.flip(leaving, axis=-1), axis=-1), axis=-1)
    hazard = np.divide(counts.failed, at_risk, out=np.zeros_like(at_risk), where=at_risk > 0)
    survival = np.cumprod(1.0 - hazard, axis=-1)
    return Curve(at_risk, counts.failed, np.asarray(survival, dtype=np.float64))


def chance_from_here(curve: Curve, day: int) -> float:
    """Chance that a vehicle free of the concern on `day` stays so to the window: S(W) / S(day)."""
    here = float(curve.survival[min(max(day, 0), curve.survival.size - 1)])
    return float(curve.survival[-1]) / here if here > 0.0 else 0.0


@dataclass(frozen=True, slots=True)
class LogRank:
    """The p-value of chi-square on one degree of freedom, and the failures expected in the first group."""

    p_value: float
    expected_first: float


def log_rank(first: DayCounts, second: DayCounts) -> LogRank:
    """Two-group log-rank test: Mantel (1966), Cancer Chemother. Rep. 50:163-170, hypergeometric variance.

    Without any failure the groups cannot differ: p 1.
    """
    one, other = kaplan_meier(first), kaplan_meier(second)
    n, d = one.at_risk + other.at_risk, one.failed + other.failed
    share = np.divide(one.at_risk, n, out=np.zeros_like(n), where=n > 0)
    spread = np.divide(n - d, n - 1, out=np.zeros_like(n), where=n > 1)
    variance = float(np.sum(d * share * (1.0 - share) * spread))
    expected = float(np.sum(d * share))
    gap = float(np.sum(one.failed)) - expected
    chi_square = gap * gap / variance if variance > 0.0 else 0.0
    return LogRank(float(special.chdtrc(1, chi_square)), expected)
