"""Floors under the cost of every plan, by which checks are left out of single states.

Two floors, both joint costs; the higher counts.

*Free checks*: all remaining checks known at once for nothing. It lies on or above
L(s) = sum p_k c_k + p_0 c_d, so it prunes no less.

*Bowed floor*, for one update and checks that save no diagnosis: f(p) = p (c - e1) + (1 - p)(c_d - e0)
+ h p (1 - p). It is a floor if no step can go below it: a check with chances (u, v) of yes bends f down by at
most h k, k = max over q of S^2 / (q (1 - q)), S = (max(u, v) - q)(q - min(u, v)) / |u - v|, so h = min t_i / k_i
over the remaining checks; reflashing needs e1 = (sqrt h - sqrt(c + r))^2 where h > c + r, and diagnosing
e0 = (sqrt h - sqrt(c_d + e1))^2 where h > c_d + e1. Own derivation; tested against the exact plan.
"""

from __future__ import annotations

import numpy as np

from kb.advice.problem import PlanCheck, Problem
from kb.advice.states import Floats, Ints, complete_states, untried, without_checks

FINE = 401
MARGIN = 1.001


def free_checks(problem: Problem) -> Floats:
    """Joint cost if all remaining checks were free; diagnosis at the least it can come to. (3**n, 2**K)."""
    weights = complete_states(problem)
    least = max(0.0, problem.diagnosis - sum(c.saved for c in problem.checks))
    floor = without_checks(problem, weights, untried(weights), np.full(len(weights), least))
    columns = floor.shape[1]
    for i in range(len(problem.checks)):
        known = floor.reshape(-1, 2, 3**i, columns)
        both = known[:, :1] + known[:, 1:]
        floor = np.concatenate([both, known], axis=1)
    return floor.reshape(-1, columns)


def may_bow(problem: Problem) -> bool:
    return len(problem.updates) == 1 and not any(c.saved for c in problem.checks)


def bows(problem: Problem) -> Floats:
    """The bow h of every state: the least t_i / k_i of its remaining checks, 0 with none left. (3**n,)."""
    bow = np.full(1, np.inf)
    for check in problem.checks:
        bend = _bend(check) * MARGIN
        ratio = check.cost / bend if bend > 0.0 else np.inf
        bow = np.concatenate([np.minimum(bow, ratio), bow, bow])
    return np.where(np.isfinite(bow), bow, 0.0)


def _bend(check: PlanCheck) -> float:
    low, high = min(check.yes), max(check.yes)
    if high - low < 1e-9:
        return 0.0
    q = np.linspace(low, high, FINE)[1:-1]
    spread = (high - q) * (q - low) / (high - low)
    return float((spread**2 / (q * (1.0 - q))).max())


def bowed(problem: Problem, here: Floats, bow: Floats) -> Floats:
    """The bowed floor of states with nothing tried, from their joint chances (states, 2) and bows."""
    update, root = problem.updates[0], np.sqrt(bow)
    fix = update.cost + problem.rework
    off_cured = np.where(bow > fix, (root - np.sqrt(fix)) ** 2, 0.0)
    slope = problem.diagnosis + off_cured
    off_other = np.where(bow > slope, (root - np.sqrt(slope)) ** 2, 0.0)
    cured, other = here[:, 0], here[:, 1]
    total = np.maximum(cured + other, 1e-300)
    straight = cured * (update.cost - off_cured) + other * (problem.diagnosis - off_other)
    return np.asarray(straight + bow * cured * other / total)


class Floors:
    """The floors of one problem, to be asked level by level."""

    def __init__(self, problem: Problem) -> None:
        self._problem = problem
        self._free = free_checks(problem)
        self._bows = bows(problem) if may_bow(problem) else None

    def at(self, codes: Ints, here: Floats) -> Floats:
        """The higher floor in these states, whose joint chances are `here`. Shape (states, 2**K)."""
        floor = self._free[codes]
        if self._bows is not None:
            np.maximum(floor[:, 0], bowed(self._problem, here, self._bows[codes]), out=floor[:, 0])
        return floor
