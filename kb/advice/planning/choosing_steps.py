"""Which checks a plan weighs, and which of nearly equal first steps is taken."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

import numpy as np

from kb.advice.planning.plan import Solution, solve
from kb.advice.planning.problem import PlanCheck, Problem
from kb.advice.planning.states import one_step_values

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


def next_step(solution: Solution, code: int = 0, tried: int = 0, *, quickest: bool = True) -> int:
    """The best step; among checks whose plans cost at most 1 % more the `quickest`, then the least counted.

    A check whose results both lead to the same reflash, or both to diagnosis, is none of them. `quickest`
    False is the rule of advice frozen before: the least counted of all.
    """
    updates, checks = len(solution.problem.updates), solution.problem.checks
    step, values = solution.step(code, tried), solution.values(code, tried)
    if step < updates:
        return step
    limit, best = (1.0 + NEARLY) * values[step + 1], step - updates
    near = [i for i in range(len(checks)) if values[1 + updates + i] <= limit]
    if not quickest:
        return updates + min(near, key=lambda i: (checks[i].counts or 0.0, i != best, i))
    near = [i for i in near if _can_change(solution, code, tried, i)]
    if not near:
        return int(np.argmin(values[: 1 + updates])) - 1
    return updates + min(near, key=lambda i: (checks[i].minutes, checks[i].counts or 0.0, i != best, i))


def step_now(solution: Solution, held: Collection[str], *, quickest: bool = True) -> int:
    """The next step where checks with these keys are `held` back for now: in place of one of them the check
    with which the plan of all others begins, or itself where that plan asks none.
    """
    first, updates = next_step(solution, quickest=quickest), len(solution.problem.updates)
    checks = solution.problem.checks
    if first < updates or checks[first - updates].key not in held:
        return first
    now = [i for i, one in enumerate(checks) if one.key not in held]
    others = solve(replace(solution.problem, checks=tuple(checks[i] for i in now)))
    instead = next_step(others, quickest=quickest)
    return first if instead < updates else updates + now[instead - updates]


def _can_change(solution: Solution, code: int, tried: int, check: int) -> bool:
    """Whether the check's two results lead to different steps, or to a further check."""
    after = [code + result * 3**check for result in (1, 2)]
    if any(solution.alive(one, tried) <= 0.0 for one in after):
        return False
    steps = {solution.step(one, tried) for one in after}
    return len(steps) > 1 or max(steps) >= len(solution.problem.updates)
