"""The cheapest sequence of checks, reflashes and diagnosis, exactly.

Every adaptive plan is considered: findings are independent given the cause; a reflash that does not cure
costs the rework, rules its update out, and the plan goes on; diagnosis is conclusive. Solved by dynamic
programming (Bellman) over all result states and sets of updates tried, from all checks done to none, in
blocks that fit the cache. No check is pruned: the time depends on how many checks and updates there are only.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kb.advice.problem import TIE, Problem
from kb.advice.states import (
    Floats,
    Ints,
    Level,
    alive,
    diagnose_now,
    diagnosis_costs,
    diagnosis_left,
    joint_chances,
    lattice,
    reflash_step,
    untried,
)

DIAGNOSE = -1
BLOCK = 1 << 14


@dataclass(frozen=True, slots=True)
class Solution:
    """The solved plan: joint chances by code (K + 1, 3**n), joint costs by row (2**K, 3**n), rows by code."""

    problem: Problem
    weights: Floats
    cost: Floats
    rows: Ints

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
        problem, cost, rows = self.problem, self.cost, self.rows
        total, fee = self.alive(code, tried), 0.0 if tried else problem.shared
        left = diagnosis_left(problem, code)
        found_fee = 0.0 if tried else problem.shared_if_found
        values = [left * total]
        for k, update in enumerate(problem.updates):
            value, weight = np.inf, float(self.weights[k, code])
            if not tried >> k & 1:
                values[0] += weight * (update.cost + found_fee)
                value = (update.cost + fee) * total + problem.rework * (total - weight)
                value += float(cost[tried | 1 << k, rows[code]])
            values.append(value)
        for i, check in enumerate(problem.checks):
            power, value = 3**i, np.inf
            if code // power % 3 == 0:
                children = cost[tried, rows[code + power]] + cost[tried, rows[code + 2 * power]]
                value = check.cost * total + float(children)
            values.append(value)
        return values


def solve(problem: Problem) -> Solution:
    """The optimum of a problem with at most 12 checks and 3 updates."""
    return solve_joint(problem, joint_chances(problem))


def solve_joint(problem: Problem, weights: Floats) -> Solution:
    """The optimum where the joint chances are given: findings need not be independent given the cause."""
    states = lattice(len(problem.checks))
    by_row = weights.take(states.codes, axis=1)
    cost = np.empty((1 << len(problem.updates), weights.shape[1]))
    for level in reversed(states.levels):
        for start in range(level.start, level.stop, BLOCK):
            block = slice(start, min(start + BLOCK, level.stop))
            diagnosis = diagnosis_costs(problem, states.codes[block])
            _fill(problem, by_row[:, block], diagnosis, level, block, cost)
    return Solution(problem, weights, cost, states.rows)


def _fill(
    problem: Problem, here: Floats, diagnosis: Floats, level: Level, block: slice, cost: Floats
) -> None:
    """Set the least joint cost of a block of states, once all states with more checks done have theirs."""
    own = slice(block.start - level.start, block.stop - level.start)
    prices = np.array([c.cost for c in problem.checks])
    asked = [
        (prices.take(u[own]), yes[own], no[own])
        for u, yes, no in zip(level.undone, level.yes, level.no, strict=True)
    ]
    step, child = np.empty(here.shape[1]), np.empty(here.shape[1])
    for tried in reversed(range(len(cost))):
        total = alive(here, tried)
        best = diagnose_now(problem, here, total, diagnosis, tried)
        for k in untried(len(problem.updates), tried):
            after = reflash_step(problem, here, total, k, tried) + cost[tried | 1 << k, block]
            np.minimum(best, after, out=best)
        for price, yes, no in asked:
            np.multiply(price, total, out=step)
            step += cost[tried].take(yes, out=child, mode="clip")  # "clip" writes to `out` unbuffered
            step += cost[tried].take(no, out=child, mode="clip")
            np.minimum(best, step, out=best)
        cost[tried, block] = best
