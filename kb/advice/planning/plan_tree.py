"""A solved plan as a tree to read, and what it costs under each cause."""

from __future__ import annotations

import numpy as np

from kb.advice.planning.plan import DIAGNOSE, Solution
from kb.advice.planning.problem import Problem
from kb.advice.planning.states import Floats, diagnosis_left
from kb.nouns.advice import PlanNode


def tree(solution: Solution, first: int | None = None) -> PlanNode | None:
    """The plan from here; `first` puts another first step before the best plan after it."""
    return _node(solution, 0, 0, first)


def _node(solution: Solution, code: int, tried: int, forced: int | None = None) -> PlanNode | None:
    alive = solution.alive(code, tried)
    if alive <= 0.0:
        return None
    values = solution.values(code, tried)
    step = solution.step(code, tried) if forced is None else forced
    cost, problem, updates = values[step + 1] / alive, solution.problem, len(solution.problem.updates)
    if step == DIAGNOSE:
        return PlanNode("diagnose", cost)
    if step < updates:
        then = _node(solution, code, tried | 1 << step)
        update, chance = problem.updates[step], float(solution.weights[step, code]) / alive
        return PlanNode("reflash", cost, chance, update.name, update.key, then=then)
    i = step - updates
    yes, no = (_node(solution, code + result * 3**i, tried) for result in (1, 2))
    check, chance = problem.checks[i], solution.alive(code + 3**i, tried) / alive
    return PlanNode("check", cost, chance, check.name, check.key, yes=yes, no=no)


def cost_by_cause(solution: Solution, first: int | None = None, priced: Problem | None = None) -> Floats:
    """Expected cost of following the plan, given each cause. Shape (K + 1,).

    With `first`, of doing that step first and then the best. With `priced`, of the same steps at that
    problem's prices (say, what the customer pays).
    """
    return _by_cause(solution, priced or solution.problem, 0, 0, first)


def _by_cause(solution: Solution, priced: Problem, code: int, tried: int, first: int | None) -> Floats:
    updates, step = len(priced.updates), solution.step(code, tried) if first is None else first
    if step == DIAGNOSE:
        fee = 0.0 if tried else priced.shared_if_found
        found = [u.cost + fee if not tried >> k & 1 else 0.0 for k, u in enumerate(priced.updates)]
        return diagnosis_left(priced, code) + np.array([*found, 0.0])
    if step < updates:
        after = _by_cause(solution, priced, code, tried | 1 << step, None) + priced.rework
        after[step] = 0.0
        return np.asarray(after + priced.updates[step].cost + (0.0 if tried else priced.shared))
    i = step - updates
    yes = np.array(priced.checks[i].yes)
    total = np.full(updates + 1, float(priced.checks[i].cost))
    for result, share in ((1, yes), (2, 1.0 - yes)):
        child = code + result * 3**i
        if solution.alive(child, tried) > 0.0:
            total += share * _by_cause(solution, priced, child, tried, None)
    return total
