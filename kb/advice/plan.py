"""The cheapest sequence of checks, reflashes and diagnosis, exactly.

Every adaptive plan is considered: findings are independent given the cause; a reflash that does not cure
costs the rework, rules its update out, and the plan goes on; diagnosis is conclusive. Solved by dynamic
programming (Bellman) over all result states and sets of updates tried, from all checks done to none, whole
levels at a time. No check is pruned: the time depends on the numbers of checks and updates only.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kb.advice.problem import TIE, Problem
from kb.advice.states import (
    Floats,
    Level,
    alive,
    diagnose_now,
    diagnosis_costs,
    diagnosis_left,
    joint_chances,
    levels,
    reflash_step,
    untried,
)

DIAGNOSE = -1


@dataclass(frozen=True, slots=True)
class Solution:
    """The solved plan: joint chances (K + 1, 3**n) and joint costs (2**K, 3**n)."""

    problem: Problem
    weights: Floats
    cost: Floats

    @property
    def expected_cost(self) -> float:
        return float(self.cost[0, 0])

    @property
    def first_step(self) -> int:
        return self.step(0, 0)

    def alive(self, code: int, tried: int) -> float:
        """Chance of a state with the updates tried ruled out."""
        row = self.weights[:, code].tolist()
        return float(row[-1] + sum(row[k] for k in untried(len(row) - 1, tried)))

    def step(self, code: int, tried: int) -> int:
        """The best step: -1 diagnose, k reflash update k, K + i check i; ties go in this order."""
        values, slack = self.values(code, tried), TIE * self.alive(code, tried)
        best = 0
        for at, value in enumerate(values):
            if value < values[best] - slack:
                best = at
        return best - 1

    def values(self, code: int, tried: int) -> list[float]:
        """Joint cost of every step in the order of `step`; infinite where it was done before."""
        problem, cost = self.problem, self.cost
        total, fee = self.alive(code, tried), 0.0 if tried else problem.shared
        left = diagnosis_left(problem, code)
        found_fee = 0.0 if tried else problem.shared_if_found
        values = [left * total]
        for k, update in enumerate(problem.updates):
            value, weight = np.inf, float(self.weights[k, code])
            if not tried >> k & 1:
                values[0] += weight * (update.cost + found_fee)
                value = (update.cost + fee) * total + problem.rework * (total - weight)
                value += float(cost[tried | 1 << k, code])
            values.append(value)
        for i, check in enumerate(problem.checks):
            power, value = 3**i, np.inf
            if code // power % 3 == 0:
                children = cost[tried, code + power] + cost[tried, code + 2 * power]
                value = check.cost * total + float(children)
            values.append(value)
        return values


def solve(problem: Problem) -> Solution:
    """The optimum of a problem with at most 12 checks and 3 updates."""
    return solve_joint(problem, joint_chances(problem))


def solve_joint(problem: Problem, weights: Floats) -> Solution:
    """The optimum where the joint chances are given: findings need not be independent given the cause."""
    cost = np.empty((1 << len(problem.updates), weights.shape[1]))
    for level in reversed(levels(len(problem.checks))):
        _fill(problem, weights.take(level.codes, axis=1), level, cost)
    return Solution(problem, weights, cost)


def _fill(problem: Problem, here: Floats, level: Level, cost: Floats) -> None:
    """Set the least joint cost of a level's states, once all states with more checks done have theirs."""
    prices = [np.array([c.cost for c in problem.checks]).take(row) for row in level.undone]
    diagnosis = diagnosis_costs(problem, level.codes)
    step, child = np.empty(len(level.codes)), np.empty(len(level.codes))
    for tried in reversed(range(len(cost))):
        total = alive(here, tried)
        best = diagnose_now(problem, here, total, diagnosis, tried)
        for k in untried(len(problem.updates), tried):
            after = reflash_step(problem, here, total, k, tried) + cost[tried | 1 << k].take(level.codes)
            np.minimum(best, after, out=best)
        for price, yes, no in zip(prices, level.yes, level.no, strict=True):
            np.multiply(price, total, out=step)
            step += cost[tried].take(yes, out=child, mode="clip")  # "clip" writes to `out` unbuffered
            step += cost[tried].take(no, out=child, mode="clip")
            np.minimum(best, step, out=best)
        cost[tried][level.codes] = best
