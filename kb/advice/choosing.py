"""Which checks a plan weighs, and which of nearly equal first steps is taken."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from kb.advice.plan import Solution
from kb.advice.problem import PlanCheck, Problem
from kb.advice.states import one_step_values

NEARLY = 0.01


def room(most: int, updates: int) -> int:
    """How many checks are weighed: one less for each update after the first, as tries double the states."""
    return max(0, most - (updates - 1))


def information(problem: Problem, check: PlanCheck) -> float:
    """Mutual information of a check's result and the cause, in nats."""
    prior, yes = np.array(problem.chances), np.array(check.yes)
    both = np.concatenate([prior * yes, prior * (1 - yes)]).reshape(2, -1)
    alone = both.sum(axis=1, keepdims=True) * prior
    known = both > 0
    return float((both[known] * np.log(both[known] / alone[known])).sum())


def best_first(problem: Problem, checks: Sequence[PlanCheck]) -> list[PlanCheck]:
    """Checks by one-step value, ties by mutual information per cost."""
    if not checks:
        return []
    worth = one_step_values(problem, tuple(checks))

    def rank(i: int) -> tuple[float, float, int]:
        per_cost = information(problem, checks[i]) / max(checks[i].cost, 1e-9)
        return (-round(float(worth[i]), 9), -per_cost, i)

    return [checks[i] for i in sorted(range(len(checks)), key=rank)]


def smaller(problem: Problem, most: int) -> Problem:
    """The problem with its best few checks, for what is solved many times over."""
    few = room(most, len(problem.updates))
    return replace(problem, checks=tuple(best_first(problem, problem.checks)[:few]))


def next_step(solution: Solution, code: int = 0, tried: int = 0) -> int:
    """The best step; among checks whose plan costs at most 1 % more, the one with fewest counts."""
    updates, checks = len(solution.problem.updates), solution.problem.checks
    step, values = solution.step(code, tried), solution.values(code, tried)
    if step < updates:
        return step
    limit = (1.0 + NEARLY) * values[step + 1]
    near = [i for i in range(len(checks)) if values[1 + updates + i] <= limit]
    best = step - updates
    return updates + min(near, key=lambda i: (checks[i].counts or 0.0, i != best, i))
