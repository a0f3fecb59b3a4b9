"""The cheapest sequence of checks, reflashes and diagnosis, exactly.

Every adaptive plan is considered: findings are independent given the cause; a reflash that does not cure
costs the rework, rules its update out, and the plan goes on; diagnosis is conclusive. Solved by dynamic
programming (Bellman) over all result states and sets of updates tried, from all checks done to none, in
blocks that fit the cache. No check is pruned: the time depends on how many checks and updates there are only.

The table holds costs from the root: what a state costs from here on and, beside that, the checks done before
it. The two children of a check then add up to the value of asking it, without its price, for all sets of
updates tried at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kb.advice.planning.problem import TIE, Problem
from kb.advice.planning.states import (
    Floats,
    Ints,
    alive,
    checks_paid,
    diagnose_now,
    diagnosis_costs,
    diagnosis_left,
    joint_chances,
    lattice,
    paid_before,
    reflash_step,
    untried,
)

DIAGNOSE = -1
BLOCK = 1 << 13


@dataclass(frozen=True, slots=True)
class Solution:
    """The solved plan: joint chances by code (K + 1, 3**n), joint costs by row (3**n, 2**K), rows by code.

    `cost` counts the checks done before a state too; `values` takes them off again.
    """

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
        left, before = diagnosis_left(problem, code), paid_before(problem, code)
        found_fee = 0.0 if tried else problem.shared_if_found
        values = [left * total]
        for k, update in enumerate(problem.updates):
            value, weight = np.inf, float(self.weights[k, code])
            if not tried >> k & 1:
                values[0] += weight * (update.cost + found_fee)
                value = (update.cost + fee) * total + problem.rework * (total - weight)
                value += float(cost[rows[code], tried | 1 << k]) - before * (total - weight)
            values.append(value)
        for i in range(len(problem.checks)):
            power, value = 3**i, np.inf
            if code // power % 3 == 0:
                children = cost[rows[code + power], tried] + cost[rows[code + 2 * power], tried]
                value = float(children) - before * total
            values.append(value)
        return values


def solve(problem: Problem) -> Solution:
    """The optimum of a problem with at most 12 checks and 3 updates."""
    return solve_joint(problem, joint_chances(problem))


def solve_joint(problem: Problem, weights: Floats) -> Solution:
    """The optimum where the joint chances are given: findings need not be independent given the cause."""
    states = lattice(len(problem.checks))
    by_row = weights.take(states.codes, axis=1)
    paid = checks_paid(problem).take(states.codes)
    cost = np.empty((weights.shape[1], 1 << len(problem.updates)))
    for level in reversed(states.levels):
        for start in range(level.start, level.stop, BLOCK):
            block = slice(start, min(start + BLOCK, level.stop))
            own = slice(start - level.start, block.stop - level.start)
            diagnosis = diagnosis_costs(problem, states.codes[block])
            asked = _asked(cost, level.yes[:, own], level.no[:, own])
            cost[block] = _best(problem, by_row[:, block], diagnosis, paid[block], asked).T
    return Solution(problem, weights, cost, states.rows)


def _asked(cost: Floats, yes: Ints, no: Ints) -> Floats | None:
    """Least cost of asking an undone check, by state and set of updates tried; None if none is left."""
    best: Floats | None = None
    for after_yes, after_no in zip(yes, no, strict=True):
        step = cost.take(after_yes, axis=0)
        step += cost.take(after_no, axis=0)
        best = step if best is None else np.minimum(best, step, out=best)
    return best


def _best(problem: Problem, here: Floats, diagnosis: Floats, paid: Floats, asked: Floats | None) -> Floats:
    """The least cost of a block of states, checks paid before it included. Shape (2**K, states)."""
    found = np.empty((1 << len(problem.updates), here.shape[1]))
    columns = None if asked is None else np.ascontiguousarray(asked.T)
    for tried in reversed(range(len(found))):
        total = alive(here, tried)
        best = diagnose_now(problem, here, total, diagnosis, tried)
        best += total * paid
        for k in untried(len(problem.updates), tried):
            after = reflash_step(problem, here, total, k, tried) + found[tried | 1 << k]
            after += here[k] * paid  # paid for in the share that is cured too
            np.minimum(best, after, out=best)
        found[tried] = best if columns is None else np.minimum(best, columns[tried], out=best)
    return found
