"""What following the advice costs in simulated shops. Run: nice python -m tests.bench.policy [shops]

All policies meet the same concerns with the same findings (common random numbers). The cost of a policy on
a concern is exact: its beliefs as they stand, its whole plan weighed under the true joint chances. The
optimum knows those chances, correlated findings included. The advice starts from zero outcomes and from the
lead's guesses, and learns from what it did and saw, anew every 10 concerns.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
from scipy.optimize import minimize

from demo_data.shops import (
    CHECKS,
    GRADE_IF_CURED,
    GRADE_IF_NOT,
    GRADES,
    LABOR_RATE,
    Case,
    Shop,
    open_case,
    open_shop,
    result_table,
    true_shares,
)
from kb.advice.belief import UpdateRecord, starting_mean
from kb.advice.chances import chances
from kb.advice.choosing import next_step
from kb.advice.deciding import decide
from kb.advice.evidence import log_ratio
from kb.advice.learn import Learned, learn
from kb.advice.plan import DIAGNOSE, Solution, solve, solve_joint
from kb.advice.problem import PlanCheck, PlanUpdate, Problem
from kb.advice.states import joint_chances
from kb.nouns.advice import (
    AdviceSettings,
    CalibrationStatus,
    CandidateInHand,
    CheckInHand,
    ConcernInHand,
    CostSettings,
    PastCandidate,
    PastConcern,
    PastFinding,
)
from kb.nouns.concerns import FindingResult

SETTINGS = AdviceSettings(draws=2)
LEARNING, FRESH, AGAIN, JUDGED = 300, 60, 10, 4000
START = datetime(2026, 1, 5, 9, tzinfo=UTC)
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
    concern = in_hand(shop, case, number)
    found = chances(concern, concern.candidates, learned, SETTINGS)
    problem = decide(concern, concern.candidates, found, learned, SETTINGS).problem
    return solve(replace(problem, checks=tuple(sorted(problem.checks, key=lambda c: c.key))))


def truth(shop: Shop, case: Case) -> Solution:
    """The optimum under the true chances, grades counted in, findings as they truly go together."""
    prior = true_shares(shop, case.updates)
    for k, grade in enumerate(case.grades):
        at = GRADES.index(grade)
        ratio = GRADE_IF_CURED[at] / GRADE_IF_NOT[at]
        prior[k] *= ratio
    prior /= prior.sum()
    updates = tuple(
        PlanUpdate(str(u), float(p), shop.reflash) for u, p in zip(case.updates, prior, strict=False)
    )
    checks = tuple(
        PlanCheck(d.key, (*[float(up)] * len(updates), float(down)), d.minutes / 60 * LABOR_RATE, key=d.key)
        for d, (up, down) in zip(shop.guesses, shop.yes, strict=True)
    )
    problem = Problem(updates, checks, shop.diagnosis, shop.rework)
    if not shop.copied:
        return solve_joint(problem, joint_chances(problem))
    return solve_joint(problem, _joint(result_table(shop), prior))


def _joint(table: Floats, prior: Floats) -> Floats:
    """Joint chances of every result state from the table of complete results."""
    columns = [0] * (len(prior) - 1) + [1]
    full = (table[:, columns] * prior).T
    causes = len(prior)
    for i in range(CHECKS):
        known = full.reshape(causes, -1, 2, 3**i)[:, :, ::-1]
        full = np.concatenate([known.sum(axis=2, keepdims=True), known], axis=2).reshape(causes, -1)
    return full


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
        paid = problem.updates[step].cost * alive + problem.rework * miss
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


def lived(shop: Shop, case: Case, plan: Solution, checks: tuple[int, ...], number: int) -> PastConcern:
    """What the shop sees when it follows the plan on this concern."""
    opened, code, tried = START + timedelta(hours=number), 0, 0
    findings: list[PastFinding] = []
    decided = None
    while True:
        at = opened + timedelta(minutes=5 * len(findings) + (60 if tried else 0))
        step = next_step(plan, code, tried)
        if step >= len(case.updates):
            i = checks[step - len(case.updates)]
            said = FindingResult.YES if case.results[i] else FindingResult.NO
            findings.append(PastFinding(shop.guesses[i].key, said, at, case.updates))
            code += (1 if case.results[i] else 2) * 3 ** (step - len(case.updates))
            continue
        decided = decided or at
        if step == DIAGNOSE or case.updates[step] == case.cause:
            break
        tried |= 1 << step
    graded = tuple(PastCandidate(u, g) for u, g in zip(case.updates, case.grades, strict=True))
    answered = at + timedelta(days=1)
    return PastConcern(number, graded, True, case.cause, False, decided, answered, tuple(findings))


@dataclass
class Tally:
    """Sums of true costs by policy, while learning and on fresh concerns afterwards."""

    learning: dict[str, float]
    fresh: dict[str, float]
    slope: float


def run(shop: Shop, random: np.random.Generator) -> Tally:
    past: list[PastConcern] = []
    learned = learn((), shop.guesses, SETTINGS)
    learning: dict[str, float] = {}
    for number in range(LEARNING):
        if number % AGAIN == 0:
            learned = learn(past, shop.guesses, SETTINGS, revision=number)
        case = open_case(shop, random)
        plan, checks = _meet(shop, case, learned, number, learning)
        past.append(lived(shop, case, plan, checks, number))
    learned = learn(past, shop.guesses, SETTINGS, revision=LEARNING)
    fresh: dict[str, float] = {}
    for number in range(FRESH):
        _meet(shop, open_case(shop, random), learned, number, fresh)
    return Tally(learning, fresh, slope(shop, learned, random))


def _meet(
    shop: Shop, case: Case, learned: Learned, number: int, sums: dict[str, float]
) -> tuple[Solution, tuple[int, ...]]:
    real, plan = truth(shop, case), believed(shop, case, learned, number)
    keys = [d.key for d in shop.guesses]
    checks = tuple(keys.index(c.key) for c in plan.problem.checks)
    policies: dict[str, Policy] = {
        "reflash always": reflash_first(plan),
        "diagnose always": lambda _code, _tried: DIAGNOSE,
        "greedy one step": greedy(plan),
        "the advice": lambda code, tried: next_step(plan, code, tried),
        "its plan alone": plan.step,
    }
    for name, policy in policies.items():
        sums[name] = sums.get(name, 0.0) + true_cost(real, policy, checks)
    sums["optimum"] = sums.get("optimum", 0.0) + real.expected_cost
    return plan, checks


def slope(shop: Shop, learned: Learned, random: np.random.Generator) -> float:
    """Slope of outcome on the logit of the chance given, over fresh concerns with each check done or not."""
    fit, rows, outcomes = learned.tempering, [], []
    for _ in range(JUDGED):
        case = open_case(shop, random)
        push = sum(
            log_ratio(learned.checks[d.key], said_yes=r)
            for d, r in zip(shop.guesses, case.results, strict=True)
            if random.random() < 0.5
        )
        update, grade = case.updates[0], case.grades[0]
        start = _start(learned, update)
        rows.append(np.log(start / (1 - start)) + fit.a + fit.b * (push + learned.grades.log_ratio(grade)))
        outcomes.append(case.cause == update)
    kept = np.array(rows), np.array(outcomes, dtype=float)

    def loss(x: Floats) -> float:
        odds = x[0] + x[1] * kept[0]
        return float((np.logaddexp(0, odds) - kept[1] * odds).sum())

    return float(minimize(loss, np.array([0.0, 1.0])).x[1])


_STARTS: dict[tuple[int, UpdateRecord], float] = {}


def _start(learned: Learned, update: int) -> float:
    key = (id(learned), learned.record(update))
    if key not in _STARTS:
        _STARTS[key] = starting_mean(learned.common, learned.record(update))
    return _STARTS[key]


def report(title: str, tallies: list[Tally]) -> None:
    print(f"{title}: {len(tallies)} shops")
    for when, concerns in (("learning", LEARNING), ("fresh", FRESH)):
        sums = [getattr(t, when) for t in tallies]
        optimum = np.array([s["optimum"] for s in sums])
        habit = np.minimum(*(np.array([s[n] for s in sums]) for n in ("reflash always", "diagnose always")))
        for name in sums[0]:
            cost = np.array([s[name] for s in sums])
            regret = (cost - optimum) / optimum
            saved = (habit - cost).sum() / (habit - optimum).sum()
            print(
                f"  {when:9} {name:16} {cost.mean() / concerns:7.1f} a concern   "
                f"regret mean {100 * regret.mean():5.1f} %  worst {100 * regret.max():5.1f} %   "
                f"saved share {100 * saved:6.1f} %"
            )
    slopes = [t.slope for t in tallies]
    print(f"  reliability slope mean {np.mean(slopes):.2f} ({min(slopes):.2f} to {max(slopes):.2f})")


def main() -> None:
    shops = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    for title, copied in (("independent findings", 0.0), ("two checks that mostly agree", 0.7)):
        tallies = []
        for seed in range(shops):
            random = np.random.default_rng([2026, seed])
            tallies.append(run(open_shop(random, copied), random))
            _STARTS.clear()
        report(title, tallies)


if __name__ == "__main__":
    main()
