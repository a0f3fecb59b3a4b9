"""The cheapest sequence of checks, reflashes and diagnosis, exactly.

Every adaptive plan is considered: findings are independent given the cause; a reflash that does not cure
costs the rework, rules its update out, and the plan goes on; diagnosis is conclusive. Solved by dynamic
programming over result states and sets of updates tried (Bellman), all columns at once.

A check is left out of one state only, never for good: it cannot be the next step where it costs at least
the gap between the best plan without checks and a floor under every plan (kb.advice.floor).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kb.advice.floor import Floors
from kb.advice.problem import TIE, Problem
from kb.advice.states import (
    Floats,
    Ints,
    diagnose_now,
    diagnosis_costs,
    digits,
    joint_chances,
    reflash_step,
    untried,
    without_checks,
)

DIAGNOSE = -1


@dataclass(frozen=True, slots=True)
class Solution:
    """The solved plan. Arrays have a row per result state and a column per set of updates tried.

    `cost` is joint (times the chance of the state) and holds meaning only in rows that were `reached`.
    """

    problem: Problem
    weights: Floats
    cost: Floats
    reached: NDArray[np.bool_]

    @property
    def expected_cost(self) -> float:
        return float(self.cost[0, 0])

    @property
    def first_step(self) -> int:
        return self.step(0, 0)

    def alive(self, code: int, tried: int) -> float:
        """Chance of a state with the updates tried ruled out."""
        row = self.weights[code]
        return float(row[-1]) + sum(float(w) for k, w in enumerate(row[:-1]) if not tried >> k & 1)

    def step(self, code: int, tried: int) -> int:
        """The best step: -1 diagnose, k reflash update k, K + i check i; ties go in this order."""
        values, slack = self.values(code, tried), TIE * self.alive(code, tried)
        best = 0
        for at, value in enumerate(values):
            if value < values[best] - slack:
                best = at
        return best - 1

    def values(self, code: int, tried: int) -> list[float]:
        """Joint cost of every step, in the order of `step`; infinite where it cannot be best."""
        here = self.weights[code : code + 1]
        total = untried(here)
        left = diagnosis_costs(self.problem, np.array([code]))
        values = [float(diagnose_now(self.problem, here, total, left)[0, tried])]
        for k in range(len(self.problem.updates)):
            tried_too = tried | 1 << k
            step = reflash_step(self.problem, here, total, k, tried)[0] if tried_too != tried else np.inf
            values.append(float(step + self.cost[code, tried_too]))
        for i, check in enumerate(self.problem.checks):
            yes, no = code + 3**i, code + 2 * 3**i
            open_here = code // 3**i % 3 == 0 and self.reached[yes] and self.reached[no]
            value = (
                check.cost * total[0, tried] + self.cost[yes, tried] + self.cost[no, tried]
                if open_here
                else np.inf
            )
            values.append(float(value))
        return values


@dataclass(frozen=True, slots=True)
class _Level:
    """The states with equally many checks done that can matter, and where each check can come next."""

    codes: Ints
    alive: Floats
    next_rows: tuple[Ints, ...]


def solve(problem: Problem) -> Solution:
    """The optimum of a problem with at most 12 checks and 3 updates."""
    weights = joint_chances(problem)
    cost = np.empty((len(weights), 1 << len(problem.updates)))
    reached = np.zeros(len(weights), dtype=bool)
    for level in reversed(_reachable(problem, weights)):
        cost[level.codes] = _best(problem, weights[level.codes], level, cost)
        reached[level.codes] = True
    return Solution(problem, weights, cost, reached)


def _reachable(problem: Problem, weights: Floats) -> list[_Level]:
    """States that some plan worth considering can come to, level by level from nothing done."""
    floors = Floors(problem)
    codes: Ints = np.zeros(1, dtype=np.int64)
    levels: list[_Level] = []
    while codes.size:
        here = weights[codes]
        alive = untried(here)
        rows: tuple[Ints, ...] = ()
        if problem.checks:
            above = without_checks(problem, here, alive, diagnosis_costs(problem, codes))
            gap = _widest((above - floors.at(codes, here)) / np.maximum(alive, 1e-300))
            rows = tuple(_worth_asking(problem, i, codes, gap) for i in range(len(problem.checks)))
        levels.append(_Level(codes, alive, rows))
        codes = _children(codes, rows, len(weights))
    return levels


def _widest(gap: Floats) -> Floats:
    """The largest of each row, column by column, which is much faster for few columns."""
    widest = gap[:, 0].copy()
    for column in range(1, gap.shape[1]):
        np.maximum(widest, gap[:, column], out=widest)
    return widest


def _worth_asking(problem: Problem, i: int, codes: Ints, gap: Floats) -> Ints:
    """Rows where check i is undone and cheaper than all that could still be gained."""
    return np.flatnonzero((problem.checks[i].cost + TIE < gap) & (digits(codes, i) == 0))


def _children(codes: Ints, rows: tuple[Ints, ...], size: int) -> Ints:
    seen = np.zeros(size, dtype=bool)
    for i, chosen in enumerate(rows):
        seen[codes[chosen] + 3**i] = True
        seen[codes[chosen] + 2 * 3**i] = True
    return np.flatnonzero(seen)


def _best(problem: Problem, here: Floats, level: _Level, cost: Floats) -> Floats:
    """Least joint cost of the states of a level, once all states with more checks done have theirs."""
    best = diagnose_now(problem, here, level.alive, diagnosis_costs(problem, level.codes))
    for i, rows in enumerate(level.next_rows):
        if rows.size:
            ask = problem.checks[i].cost * level.alive[rows]
            ask += cost[level.codes[rows] + 3**i]
            ask += cost[level.codes[rows] + 2 * 3**i]
            best[rows] = np.minimum(best[rows], ask)
    for tried in reversed(range(best.shape[1])):
        for k in range(len(problem.updates)):
            if not tried >> k & 1:
                after = reflash_step(problem, here, level.alive, k, tried) + best[:, tried | 1 << k]
                np.minimum(best[:, tried], after, out=best[:, tried])
    return best
