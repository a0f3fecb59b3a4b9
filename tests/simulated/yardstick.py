"""What a policy costs on a concern of a simulated shop, exactly, and the optimum that knows the truth.

The cost of a policy: its beliefs as they stand, its whole plan weighed under the true joint chances. The
optimum knows those chances, correlated findings included.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import numpy as np

from kb.advice.chances.chances import chances
from kb.advice.chances.learn import Learned
from kb.advice.planning.plan import DIAGNOSE, Solution, solve, solve_joint
from kb.advice.planning.problem import PlanCheck, PlanUpdate, Problem
from kb.advice.planning.problem_of_concern import decide
from kb.advice.planning.states import joint_chances
from kb.nouns.advice import (
    AdviceSettings,
    CalibrationStatus,
    CandidateInHand,
    CheckInHand,
    ConcernInHand,
    CostSettings,
)
from tests.simulated.shops import (
    CHECKS,
    GRADE_IF_CURED,
    GRADE_IF_NOT,
    GRADES,
    LABOR_RATE,
    Case,
    Shop,
    result_table,
    true_shares,
)

SETTINGS = AdviceSettings(draws=2)
Floats = np.typing.NDArray[np.float64]
Policy = Callable[[int, int], int]


def costs(shop: Shop) -> CostSettings:
    return CostSettings(
        labor_rate=LABOR_RATE,
        reflash_minutes=60 * shop.reflash / LABOR_RATE,
        diagnosis_minutes=60 * shop.diagnosis / LABOR_RATE,
        road_test_failure_cost=shop.rework,
        comeback_cost=shop.rework,
        module_lost_chance=0.0,
        recovery_chance=0.0,
    )


def in_hand(shop: Shop, case: Case, number: int) -> ConcernInHand:
    candidates = tuple(
        CandidateInHand(u, str(u), "", "ECM", g, status=CalibrationStatus.SUPERSEDED)
        for u, g in zip(case.updates, case.grades, strict=True)
    )
    checks = tuple(CheckInHand(d, case.updates) for d in shop.guesses)
    return ConcernInHand(number, date(2026, 1, 5), candidates, checks, costs=costs(shop))


def believed(shop: Shop, case: Case, learned: Learned, number: int) -> Solution:
    """The plan of the advice on this concern, its checks put back into the shop's order."""
    return believed_of(in_hand(shop, case, number), learned)


def believed_of(concern: ConcernInHand, learned: Learned) -> Solution:
    """The same of a concern at hand."""
    found = chances(concern, concern.candidates, learned, SETTINGS)
    problem = decide(concern, concern.candidates, found, learned, SETTINGS).problem
    return solve(replace(problem, checks=tuple(sorted(problem.checks, key=lambda c: c.key))))


def truth(shop: Shop, case: Case) -> Solution:
    """The optimum under the true chances, grades counted in, findings as they truly go together."""
    prior = true_shares(shop, case.updates)
    for k, grade in enumerate(case.grades):
        at = GRADES.index(grade)
        prior[:, k] *= GRADE_IF_CURED[at] / GRADE_IF_NOT[at]
    prior /= prior.sum()
    updates = tuple(
        PlanUpdate(str(u), float(p), shop.reflash)
        for u, p in zip(case.updates, prior.sum(axis=0), strict=False)
    )
    yes = shop.kinds @ shop.yes.reshape(shop.kinds.size, -1)
    checks = tuple(
        PlanCheck(d.key, (*[float(up)] * len(updates), float(down)), d.minutes / 60 * LABOR_RATE, key=d.key)
        for d, (up, down) in zip(shop.guesses, yes.reshape(CHECKS, 2), strict=True)
    )
    problem = Problem(updates, checks, shop.diagnosis, shop.rework)
    if shop.kinds.size == 1 and not shop.copied:
        return solve_joint(problem, joint_chances(problem))
    return solve_joint(problem, joint_of_table(result_table(shop), prior))


def joint_of_table(table: Floats, prior: Floats) -> Floats:
    """Joint chances of every result state from the table of complete results, kinds summed over."""
    causes = prior.shape[1]
    columns = [0] * (causes - 1) + [1]
    full = np.einsum("krc,kc->cr", table[:, :, columns], prior)
    for i in range(CHECKS):
        known = full.reshape(causes, -1, 2, 3**i)[:, :, ::-1]
        full = np.concatenate([known.sum(axis=2, keepdims=True), known], axis=2).reshape(causes, -1)
    return np.asarray(full)


def true_cost(
    real: Solution, policy: Policy, checks: tuple[int, ...], code: int = 0, tried: int = 0
) -> float:
    """Joint cost of a policy under the true chances. `checks` maps its checks to the shop's."""
    alive = real.alive(code, tried)
    if alive <= 0:
        return 0.0
    problem = real.problem
    own = _own_code(code, checks)
    step = policy(own, tried)
    if step == DIAGNOSE:
        return real.values(code, tried)[0]
    if step < len(problem.updates):
        miss = alive - float(real.weights[step, code])
        fee = 0.0 if tried else problem.shared
        paid = (problem.updates[step].cost + fee) * alive + problem.rework * miss
        return paid + true_cost(real, policy, checks, code, tried | 1 << step)
    i = checks[step - len(problem.updates)]
    return problem.checks[i].cost * alive + sum(
        true_cost(real, policy, checks, code + result * 3**i, tried) for result in (1, 2)
    )


def _own_code(code: int, checks: tuple[int, ...]) -> int:
    return sum((code // 3**i % 3) * 3**j for j, i in enumerate(checks))


def greedy(plan: Solution) -> Policy:
    """One step ahead: a check only if it pays by itself; otherwise the best plan without checks."""
    problem, updates = plan.problem, len(plan.problem.updates)

    def now(code: int, tried: int) -> tuple[float, int]:
        alive = plan.alive(code, tried)
        if alive <= 0:
            return 0.0, DIAGNOSE
        weights = [0.0 if tried >> k & 1 else float(plan.weights[k, code]) / alive for k in range(updates)]
        left = tuple(replace(u, chance=w) for u, w in zip(problem.updates, weights, strict=True))
        bare = solve(replace(problem, updates=left, checks=()))
        return bare.expected_cost * alive, bare.first_step

    def policy(code: int, tried: int) -> int:
        best, step = now(code, tried)
        if tried:
            return step
        for i, check in enumerate(problem.checks):
            if code // 3**i % 3 == 0:
                ahead = sum(now(code + result * 3**i, tried)[0] for result in (1, 2))
                value = check.cost * plan.alive(code, tried) + ahead
                if value < best - 1e-9:
                    best, step = value, updates + i
        return step

    return policy


def reflash_first(plan: Solution) -> Policy:
    order = sorted(range(len(plan.problem.updates)), key=lambda k: -plan.problem.updates[k].chance)
    return lambda _code, tried: next((k for k in order if not tried >> k & 1), DIAGNOSE)
