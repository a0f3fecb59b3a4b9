"""The cheapest sequence of checks, reflashes and diagnosis, exactly.

Every adaptive plan is considered: findings are independent given the cause; a reflash that does not cure
costs the rework, rules its update out, and the plan goes on; diagnosis is conclusive. Solved by dynamic
programming over result states and sets of updates tried (Bellman), all columns at once.

A check is left out of one state only, never for good: it cannot be the next step where it costs at least
the gap between the best plan without checks and the floor with all remaining checks free.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

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
    with_free_checks,
    without_checks,
)

DIAGNOSE = -1


@dataclass(frozen=True, slots=True)
class Solution:
    """The solved plan. Arrays have a row per result state and a column per set of updates tried.

    `step` is -1 diagnose, k reflash update k, K + i check i; rows never reached hold nothing of meaning.
    `first` is the expected cost of each first step at the root (infinite where it cannot be best).
    """

    problem: Problem
    weights: Floats
    cost: Floats
    step: NDArray[np.int8]
    first: tuple[float, ...]

    @property
    def expected_cost(self) -> float:
        return float(self.cost[0, 0])

    @property
    def first_step(self) -> int:
        return int(self.step[0, 0])


@dataclass(frozen=True, slots=True)
class _Level:
    """The states with equally many checks done that can matter, and where each check can come next."""

    codes: Ints
    alive: Floats
    next_rows: tuple[Ints, ...]


def solve(problem: Problem) -> Solution:
    """The optimum of a problem with at most 12 checks and 3 updates."""
    weights = joint_chances(problem)
    shape = (len(weights), 1 << len(problem.updates))
    cost, step = np.empty(shape), np.full(shape, DIAGNOSE, dtype=np.int8)
    first: tuple[float, ...] = ()
    for level in reversed(_reachable(problem, weights)):
        by_check = _check_costs(problem, level, cost)
        first = _fill(problem, weights, level, by_check, cost, step)
    return Solution(problem, weights, cost, step, first)


def _reachable(problem: Problem, weights: Floats) -> list[_Level]:
    """States that some plan worth considering can come to, level by level from nothing done."""
    floor = with_free_checks(problem) if problem.checks else np.empty((1, 0))
    codes: Ints = np.zeros(1, dtype=np.int64)
    levels: list[_Level] = []
    while codes.size:
        here = weights[codes]
        alive = untried(here)
        gap = np.zeros_like(alive)
        if problem.checks:
            gap = without_checks(problem, here, alive, diagnosis_costs(problem, codes)) - floor[codes]
        rows = tuple(_worth_asking(problem, i, codes, alive, gap) for i in range(len(problem.checks)))
        levels.append(_Level(codes, alive, rows))
        codes = _children(codes, rows, len(weights))
    return levels


def _worth_asking(problem: Problem, i: int, codes: Ints, alive: Floats, gap: Floats) -> Ints:
    """Rows where check i is undone and cheaper than all that could still be gained."""
    could = ((problem.checks[i].cost + TIE) * alive < gap).any(axis=1)
    return np.flatnonzero(could & (digits(codes, i) == 0))


def _children(codes: Ints, rows: tuple[Ints, ...], size: int) -> Ints:
    seen = np.zeros(size, dtype=bool)
    for i, chosen in enumerate(rows):
        seen[codes[chosen] + 3**i] = True
        seen[codes[chosen] + 2 * 3**i] = True
    return np.flatnonzero(seen)


def _check_costs(problem: Problem, level: _Level, cost: Floats) -> list[tuple[Ints, Floats]]:
    """Of each check, the rows where it can come next and the joint cost of doing so."""
    found = []
    for i, rows in enumerate(level.next_rows):
        yes, no = level.codes[rows] + 3**i, level.codes[rows] + 2 * 3**i
        found.append((rows, problem.checks[i].cost * level.alive[rows] + cost[yes] + cost[no]))
    return found


def _fill(
    problem: Problem,
    weights: Floats,
    level: _Level,
    by_check: list[tuple[Ints, Floats]],
    cost: Floats,
    step: NDArray[np.int8],
) -> tuple[float, ...]:
    """Set cost and step of a level. Ties go to diagnosis, then reflashes, then checks in their order."""
    here, slack = weights[level.codes], TIE * level.alive
    best = diagnose_now(problem, here, level.alive, diagnosis_costs(problem, level.codes))
    chosen = np.full(best.shape, DIAGNOSE, dtype=np.int8)
    updates = len(problem.updates)
    first = [float(best[0, 0])] + [np.inf] * (updates + len(problem.checks))
    for tried in reversed(range(best.shape[1])):
        column, pick = best[:, tried], chosen[:, tried]
        for k in range(updates):
            if not tried >> k & 1:
                value = reflash_step(problem, here, level.alive, k, tried) + best[:, tried | 1 << k]
                _take(column, pick, slice(None), value, slack[:, tried], k)
                first[1 + k] = float(value[0])
        for i, (rows, values) in enumerate(by_check):
            _take(column, pick, rows, values[:, tried], slack[rows, tried], updates + i)
            if rows.size:
                first[1 + updates + i] = float(values[0, tried])
    cost[level.codes], step[level.codes] = best, chosen
    return tuple(first)


def _take(
    column: Floats,
    pick: NDArray[np.int8],
    rows: Ints | slice,
    values: Floats,
    slack: Floats,
    step: int,
) -> None:
    """Where `values` beat what stands by more than a tie, take them."""
    standing = column[rows]
    better = values < standing - slack
    column[rows] = np.where(better, values, standing)
    pick[rows] = np.where(better, np.int8(step), pick[rows])
