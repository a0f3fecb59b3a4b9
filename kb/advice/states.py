"""The arrays a plan works on.

A result state is a number in base 3: digit i is 0 while check i is undone, 1 for yes, 2 for no. A column
of the cost arrays is the set of updates tried, as bits. Costs are joint: expected cost times the chance of
the state, so that the two children of a state simply add up.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kb.advice.problem import PlanCheck, Problem

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def joint_chances(problem: Problem) -> Floats:
    """P(results so far and cause) of every result state. Shape (3**n, K + 1)."""
    weights = np.array([problem.chances])
    for check in problem.checks:
        yes = np.array(check.yes)
        weights = np.concatenate([weights, weights * yes, weights * (1.0 - yes)])
    return weights


def complete_states(problem: Problem) -> Floats:
    """As `joint_chances`, only states with every check done. Shape (2**n, K + 1)."""
    weights = np.array([problem.chances])
    for check in problem.checks:
        yes = np.array(check.yes)
        weights = np.concatenate([weights * yes, weights * (1.0 - yes)])
    return weights


def digits(codes: Ints, check: int) -> Ints:
    """The result of one check in each state: 0 undone, 1 yes, 2 no."""
    return np.asarray((codes // 3**check) % 3)


def diagnosis_costs(problem: Problem, codes: Ints) -> Floats:
    """What diagnosis still costs in each state: each check done takes off what it saves, never below 0."""
    left = np.full(codes.shape, float(problem.diagnosis))
    for i, check in enumerate(problem.checks):
        if check.saved:
            left -= check.saved * (digits(codes, i) > 0)
    return np.asarray(np.maximum(left, 0.0))


def untried(weights: Floats) -> Floats:
    """Chance of each state with the updates of a column ruled out. Shape (states, 2**K)."""
    updates = weights.shape[1] - 1
    total = np.empty((len(weights), 1 << updates))
    for tried in range(1 << updates):
        total[:, tried] = weights[:, updates]
        for k in range(updates):
            if not tried >> k & 1:
                total[:, tried] += weights[:, k]
    return total


def diagnose_now(problem: Problem, weights: Floats, alive: Floats, diagnosis: Floats) -> Floats:
    """Joint cost of going on with the diagnosis: its cost, and each untried update where it is the cause."""
    joint = alive * diagnosis[:, None]
    for k, update in enumerate(problem.updates):
        for tried in range(alive.shape[1]):
            if not tried >> k & 1:
                fee = 0.0 if tried else problem.shared_if_found
                joint[:, tried] += weights[:, k] * (update.cost + fee)
    return joint


def reflash_step(problem: Problem, weights: Floats, alive: Floats, k: int, tried: int) -> Floats:
    """Joint cost of reflashing update k once, with rework where it does not cure. Without what follows."""
    fee = 0.0 if tried else problem.shared
    total = alive[:, tried]
    return (problem.updates[k].cost + fee) * total + problem.rework * (total - weights[:, k])


def without_checks(problem: Problem, weights: Floats, alive: Floats, diagnosis: Floats) -> Floats:
    """Joint cost of the best order of reflashes and diagnosis: U of the plan. Shape (states, 2**K)."""
    cost = diagnose_now(problem, weights, alive, diagnosis)
    for tried in reversed(range(cost.shape[1])):
        for k in range(len(problem.updates)):
            if not tried >> k & 1:
                after = reflash_step(problem, weights, alive, k, tried) + cost[:, tried | 1 << k]
                np.minimum(cost[:, tried], after, out=cost[:, tried])
    return cost


def one_step_values(problem: Problem, checks: tuple[PlanCheck, ...]) -> Floats:
    """What each check saves if it were the only one, less its cost, never below 0. Shape (checks,)."""
    prior = np.array([problem.chances])
    yes = np.array([c.yes for c in checks]).reshape(len(checks), prior.shape[1])
    saved = np.array([c.saved for c in checks])
    left = np.maximum(problem.diagnosis - saved, 0.0)

    def best(weights: Floats, diagnosis: Floats) -> Floats:
        return without_checks(problem, weights, untried(weights), diagnosis)[:, 0]

    now = best(prior, np.array([problem.diagnosis]))
    after = best(prior * yes, left) + best(prior * (1.0 - yes), left)
    return np.asarray(np.maximum(now - after - np.array([c.cost for c in checks]), 0.0))
