"""Whether the advice can be trusted: its frozen chances against what came."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy import special

from kb.errors import BadInput
from kb.nouns.outcomes import INTERVAL_LEVEL, Interval
from kb.outcomes.tally import Floats

ENOUGH_OUTCOMES = 30
BINS = 5
CLOSEST = 1e-15
"""How close to 0 or 1 a forecast may come in the log loss."""


@dataclass(frozen=True, slots=True)
class ReliabilityBin:
    """Forecasts between `low` and `high`: how many, their mean, the share cured and its interval."""

    low: float
    high: float
    n: int
    mean_chance: float
    share_cured: float
    interval: Interval


@dataclass(frozen=True, slots=True)
class Skill:
    """1 - Brier / Brier of a simpler forecast; above 0 is better. None where the simpler one is perfect.

    The habits: reflash whenever a bulletin applies (chance 1), always diagnose first (chance 0). The base
    rate: the share cured among these same concerns, which nobody knew beforehand.
    """

    against_reflash_first: float | None
    against_diagnose_first: float | None
    against_base_rate: float | None


@dataclass(frozen=True, slots=True)
class Audit:
    """n concerns with a known answer. `cannot_tell_yet`: fewer than 30; then numbers but no sentence.

    `calibration_p`: p-value of Spiegelhalter's test that the chances are right; never judge by the raw
    distance of the bins, which is large by luck alone in small samples.
    """

    n: int
    cannot_tell_yet: bool
    brier: float | None
    log_loss: float | None
    skill: Skill
    bins: tuple[ReliabilityBin, ...]
    calibration_p: float | None


def audit(
    chances: ArrayLike, cured: ArrayLike, level: float = INTERVAL_LEVEL, weights: ArrayLike | None = None
) -> Audit:
    """Chances 0..1 as frozen in the advice, against 1 cured or 0 not. Raises BadInput for anything else.

    `weights` (all 1 if left out) let an answer stand for others like it whose answer nobody learned:
    inverse-probability weighting, Horvitz & Thompson (1952), JASA 47:663-685.
    """
    p, y = _checked(chances, cured)
    if not p.size:
        return Audit(0, True, None, None, Skill(None, None, None), (), None)
    w = np.ones_like(p) if weights is None else np.asarray(weights, dtype=np.float64)
    if w.shape != p.shape or not np.all(np.isfinite(w) & (w > 0.0)):
        raise BadInput("Every answer needs a weight above 0.", fields={"weights": "not above 0"})
    return Audit(
        n=p.size,
        cannot_tell_yet=p.size < ENOUGH_OUTCOMES,
        brier=brier(p, y, w),
        log_loss=log_loss(p, y, w),
        skill=skill(p, y, w),
        bins=reliability(p, y, level, w),
        calibration_p=calibration_p(p, y, w),
    )


def brier(p: Floats, y: Floats, w: Floats | None = None) -> float:
    """Mean square error of the chances, 0 to 1: Brier (1950), Mon. Weather Rev. 78:1-3, halved."""
    return float(np.average((p - y) ** 2, weights=w))


def log_loss(p: Floats, y: Floats, w: Floats | None = None) -> float:
    """Mean of -ln of the chance given to what came: Good (1952), J. R. Stat. Soc. B 14:107-114."""
    safe = np.clip(p, CLOSEST, 1.0 - CLOSEST)
    return float(-np.average(y * np.log(safe) + (1.0 - y) * np.log1p(-safe), weights=w))


def skill(p: Floats, y: Floats, w: Floats | None = None) -> Skill:
    """Brier skill scores against the two habits and the base rate."""
    own = brier(p, y, w)
    base = float(np.average(y, weights=w))
    simpler = [brier(np.full_like(p, chance), y, w) for chance in (1.0, 0.0, base)]
    scores = [1.0 - own / other if other > 0.0 else None for other in simpler]
    return Skill(*scores)


def reliability(
    p: Floats, y: Floats, level: float = INTERVAL_LEVEL, w: Floats | None = None
) -> tuple[ReliabilityBin, ...]:
    """Five bins of equal width, empty ones left out; the interval is Clopper-Pearson.

    With weights it is that of the effective number of answers (sum w)^2 / sum w^2: Kish (1965), Survey
    Sampling; the beta quantiles take fractions.
    """
    weight = np.ones_like(p) if w is None else w
    edges = np.arange(BINS + 1) / BINS
    place = np.clip(np.digitize(p, edges[1:-1]), 0, BINS - 1)
    found = []
    for i in np.unique(place):
        inside = place == i
        mine = weight[inside]
        share = float(np.average(y[inside], weights=mine))
        ends = _clopper_pearson(share, float(mine.sum() ** 2 / (mine**2).sum()), level)
        mean = float(np.average(p[inside], weights=mine))
        found.append(
            ReliabilityBin(float(edges[i]), float(edges[i + 1]), int(inside.sum()), mean, share, ends)
        )
    return tuple(found)


def _clopper_pearson(share: float, n: float, level: float) -> Interval:
    """Clopper & Pearson (1934), Biometrika 26:404-413, by beta quantiles, for n answers (not only whole)."""
    tail, x = (1.0 - level) / 2.0, share * n
    low = float(special.betaincinv(x, n - x + 1.0, tail)) if x > 0.0 else 0.0
    high = float(special.betaincinv(x + 1.0, n - x, 1.0 - tail)) if x < n else 1.0
    return low, high


def calibration_p(p: Floats, y: Floats, w: Floats | None = None) -> float | None:
    """Two-sided p-value of Spiegelhalter (1986), Stat. Med. 5:421-433; None if all chances are 0, .5 or 1."""
    weight = np.ones_like(p) if w is None else w
    spread = float(np.sum((weight * (1.0 - 2.0 * p)) ** 2 * p * (1.0 - p)))
    if spread <= 0.0:
        return None
    z = float(np.sum(weight * (y - p) * (1.0 - 2.0 * p))) / np.sqrt(spread)
    return float(2.0 * special.ndtr(-abs(z)))


def _checked(chances: ArrayLike, cured: ArrayLike) -> tuple[Floats, Floats]:
    p, y = np.asarray(chances, dtype=np.float64), np.asarray(cured, dtype=np.float64)
    if p.shape != y.shape or p.ndim != 1:
        raise BadInput("Every chance needs one answer.", fields={"cured": "length"})
    if not (np.all((p >= 0.0) & (p <= 1.0)) and np.all((y == 0.0) | (y == 1.0))):
        raise BadInput("Chances lie in 0..1 and answers are 0 or 1.", fields={"chances": "not in 0..1"})
    return p, y
