"""The arrays a plan works on.

A result state is a number in base 3, its code: digit i is 0 while check i is undone, 1 for yes, 2 for no. A
set of updates tried is a number whose bit k is set once update k was tried. Costs are joint: expected cost
times the chance of the state, so that the two children of a state simply add up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from kb.advice.planning.problem import PlanCheck, Problem

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Level:
    """The rows from `start` to `stop`: all states with equally many checks done.

    Line j of the others is about the j-th undone check of each state: the rows after its yes and after
    its no.
    """

    start: int
    stop: int
    yes: Ints
    no: Ints


@dataclass(frozen=True, slots=True)
class Lattice:
    """All result states of so many checks, in rows by the number of checks done, none first.

    `codes` gives the state of a row, `rows` the row of a state.
    """

    codes: Ints
    rows: Ints
    levels: tuple[Level, ...]


@lru_cache(maxsize=16)
def lattice(checks: int) -> Lattice:
    """The states of a number of checks. It depends on nothing else, so it is kept."""
    every = np.arange(3**checks, dtype=np.intp)
    power = 3 ** np.arange(checks, dtype=np.intp)
    is_open = (every[:, None] // power) % 3 == 0
    done = checks - is_open.sum(axis=1)
    codes = np.argsort(done, kind="stable")
    rows = np.empty_like(codes)
    rows[codes] = every
    edges = np.searchsorted(done[codes], np.arange(checks + 2))
    levels = []
    for count in range(checks + 1):
        here = codes[edges[count] : edges[count + 1]]
        undone = np.argwhere(is_open[here])[:, 1].reshape(len(here), checks - count).T
        yes, no = rows[here + power[undone]], rows[here + 2 * power[undone]]
        levels.append(Level(int(edges[count]), int(edges[count + 1]), yes, no))
    return Lattice(codes, rows, tuple(levels))


def joint_chances(problem: Problem) -> Floats:
    """P(cause and results so far) of every result state, by code. Shape (K + 1, 3**n)."""
    weights = np.array(problem.chances)[:, None]
    for check in problem.checks:
        yes = np.array(check.yes)[:, None]
        weights = np.concatenate([weights, weights * yes, weights * (1.0 - yes)], axis=1)
    return weights


def diagnosis_costs(problem: Problem, codes: Ints) -> Floats:
    """What diagnosis still costs in each state: each check done takes off what it saves, never below 0."""
    left = np.full(codes.shape, float(problem.diagnosis))
    for i, check in enumerate(problem.checks):
        if check.saved:
            left -= check.saved * ((codes // 3**i) % 3 > 0)
    return np.asarray(np.maximum(left, 0.0))


def checks_paid(problem: Problem) -> Floats:
    """What the checks done in each state cost, by code. Shape (3**n,)."""
    paid = np.zeros(1)
    for check in problem.checks:
        paid = np.concatenate([paid, paid + check.cost, paid + check.cost])
    return paid


def paid_before(problem: Problem, code: int) -> float:
    """What the checks done in one state cost."""
    return sum(c.cost for i, c in enumerate(problem.checks) if code // 3**i % 3)


def diagnosis_left(problem: Problem, code: int) -> float:
    """What diagnosis still costs in one state."""
    done = sum(c.saved for i, c in enumerate(problem.checks) if c.saved and code // 3**i % 3)
    return max(0.0, problem.diagnosis - done)


def untried(updates: int, tried: int) -> list[int]:
    return [k for k in range(updates) if not tried >> k & 1]


def alive(weights: Floats, tried: int) -> Floats:
    """Chance of each state with the updates tried ruled out. Shape (states,)."""
    total: Floats = weights[-1].copy()
    for k in untried(len(weights) - 1, tried):
        total += weights[k]
    return total


def diagnose_now(problem: Problem, weights: Floats, total: Floats, diagnosis: Floats, tried: int) -> Floats:
    """Joint cost of going on with the diagnosis: its cost, and each untried update where it is the cause."""
    cost: Floats = total * diagnosis
    fee = 0.0 if tried else problem.shared_if_found
    for k in untried(len(problem.updates), tried):
        cost += weights[k] * (problem.updates[k].cost + fee)
    return cost


def reflash_step(problem: Problem, weights: Floats, total: Floats, k: int, tried: int) -> Floats:
    """Joint cost of reflashing update k once, with rework where it does not cure. Without what follows."""
    fee = 0.0 if tried else problem.shared
    cost: Floats = total * (problem.updates[k].cost + fee + problem.rework)
    cost -= problem.rework * weights[k]
    return cost


def without_checks(problem: Problem, weights: Floats, diagnosis: Floats) -> Floats:
    """Joint cost of the best order of reflashes and diagnosis in each state. Shape (states,)."""
    updates = len(problem.updates)
    best: dict[int, Floats] = {}
    for tried in reversed(range(1 << updates)):
        total = alive(weights, tried)
        cost = diagnose_now(problem, weights, total, diagnosis, tried)
        for k in untried(updates, tried):
            step = reflash_step(problem, weights, total, k, tried) + best[tried | 1 << k]
            np.minimum(cost, step, out=cost)
        best[tried] = cost
    return best[0]


def one_step_values(problem: Problem, checks: Sequence[PlanCheck]) -> Floats:
    """What each check saves if it were the only one, less its cost, never below 0. Shape (checks,)."""
    prior = np.array(problem.chances)[:, None]
    yes = np.array([c.yes for c in checks]).reshape(len(checks), len(prior)).T
    left = np.maximum(problem.diagnosis - np.array([c.saved for c in checks]), 0.0)
    now = without_checks(problem, prior, np.array([float(problem.diagnosis)]))
    after = without_checks(problem, prior * yes, left) + without_checks(problem, prior * (1 - yes), left)
    return np.asarray(np.maximum(now - after - np.array([c.cost for c in checks]), 0.0))
