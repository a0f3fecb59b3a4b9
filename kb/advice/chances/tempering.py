"""How far past evidence may be trusted: tempering of the summed log likelihood ratios.

logit p' = logit(start) + a + b * (sum of log LR), (a, b) ~ N((0, 1), diag(.5^2, .3^2)), b >= .1, fitted by
MAP on leave-one-concern-out values. The spread is Laplace: covariance (X'WX + prior precision)^-1.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit

Floats = NDArray[np.float64]
PRIOR_MEAN = np.array([0.0, 1.0])
PRIOR_PRECISION = np.diag([1 / 0.5**2, 1 / 0.3**2])
LEAST_B = 0.1
_ROUNDS = 100
_CLOSE = 1e-8


@dataclass(frozen=True, slots=True)
class Tempering:
    """`a` shifts, `b` scales; `covariance` is of (a, b). Before any outcome it is the prior."""

    a: float = 0.0
    b: float = 1.0
    covariance: tuple[tuple[float, float], tuple[float, float]] = ((0.25, 0.0), (0.0, 0.09))

    def draws(self, count: int, random: np.random.Generator) -> tuple[Floats, Floats]:
        both = random.multivariate_normal([self.a, self.b], np.array(self.covariance), size=count)
        return both[:, 0], np.maximum(both[:, 1], LEAST_B)


def fit(start: Floats, push: Floats, cured: Floats, silence: Floats | None = None) -> Tempering:
    """MAP of (a, b) from one row per concern: logit of its starting chance, summed log LR, cured 0 or 1.

    `silence` is not nan where the answer is not known yet: the chance of having heard nothing so far of a
    vehicle that it did not cure. Such a row has the likelihood p + (1 - p) silence, by
    expectation-maximisation (Dempster, Laird & Rubin 1977), its information by Louis (1982, J. R. Stat. Soc.
    B 44:226-233): leaving these rows out counts failures at once and cures late, and pulls chances down.
    """
    if start.size == 0:
        return Tempering()
    design = np.column_stack([np.ones_like(push), push])
    waiting = np.zeros(start.size, dtype=bool) if silence is None else ~np.isnan(silence)
    unheard = np.zeros(start.size) if silence is None else np.where(waiting, silence, 0.0)
    outcome = np.where(waiting, 0.5, cured)
    at = _fitted(design, start, outcome)
    for _ in range(_ROUNDS if waiting.any() else 0):
        before, outcome = at, np.where(waiting, _cured_given_silence(design, start, at, unheard), cured)
        at = _fitted(design, start, outcome)
        if np.abs(at - before).max() < _CLOSE:
            break
    told = np.where(waiting, outcome * (1 - outcome), 0.0)
    inverse = np.linalg.inv(_curvature(design, start, at, told))
    return Tempering(
        float(at[0]),
        float(at[1]),
        (
            (float(inverse[0, 0]), float(inverse[0, 1])),
            (float(inverse[1, 0]), float(inverse[1, 1])),
        ),
    )


def _fitted(design: Floats, start: Floats, cured: Floats) -> Floats:
    at = _newton(design, start, cured, PRIOR_MEAN, np.array([True, True]))
    if at[1] < LEAST_B:
        at = _newton(design, start, cured, np.array([at[0], LEAST_B]), np.array([True, False]))
    return at


def _cured_given_silence(design: Floats, start: Floats, at: Floats, silence: Floats) -> Floats:
    chance = expit(start + design @ at)
    return np.asarray(chance / (chance + (1 - chance) * silence))


def _curvature(design: Floats, start: Floats, at: Floats, unknown: Floats | float = 0.0) -> Floats:
    """Information and prior precision; `unknown` is the part of it that open answers keep back."""
    chance = expit(start + design @ at)
    weight = np.maximum(chance * (1 - chance) - unknown, 0.0)
    return np.asarray((design.T * weight) @ design + PRIOR_PRECISION)


def _slope(design: Floats, start: Floats, cured: Floats, at: Floats) -> Floats:
    miss = cured - expit(start + design @ at)
    return np.asarray(design.T @ miss - PRIOR_PRECISION @ (at - PRIOR_MEAN))


def _height(design: Floats, start: Floats, cured: Floats, at: Floats) -> float:
    odds = start + design @ at
    off = at - PRIOR_MEAN
    return float((cured * odds - np.logaddexp(0.0, odds)).sum() - 0.5 * off @ PRIOR_PRECISION @ off)


def _newton(design: Floats, start: Floats, cured: Floats, at: Floats, free: NDArray[np.bool_]) -> Floats:
    """Newton's method, halving steps that go down; the target is strictly concave."""
    for _ in range(60):
        slope = _slope(design, start, cured, at)[free]
        step = np.zeros(2)
        step[free] = np.linalg.solve(_curvature(design, start, at)[np.ix_(free, free)], slope)
        height = _height(design, start, cured, at)
        while _height(design, start, cured, at + step) < height and np.abs(step).max() > 1e-12:
            step = step / 2
        at = at + step
        if np.abs(step).max() < 1e-10:
            break
    return at


def tempered(yes_if_cured: float, yes_if_not: float, b: float) -> tuple[float, float]:
    """Chances of yes (cured, not) of an undone check such that its result will push b times its log LR.

    L+ = (alpha / beta)^b, L- = ((1 - alpha) / (1 - beta))^b, beta' = (1 - L-) / (L+ - L-), alpha' = L+ beta'.
    """
    up = math.exp(b * (math.log(yes_if_cured) - math.log(yes_if_not)))
    down = math.exp(b * (math.log1p(-yes_if_cured) - math.log1p(-yes_if_not)))
    if abs(up - down) < 1e-12:
        return yes_if_not, yes_if_not
    base = (1.0 - down) / (up - down)
    return up * base, base
