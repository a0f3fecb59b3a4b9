"""What unrelated complaints cost that are taken for an update's.

    python -m tests.bench.false_candidates [shops]

Shops of tests.bench.policy; half of the complaints on covered vehicles are about something else. A rule
offers the update to some of those all the same: to 31 of 60 by shared words, to 2 of 65 by what a note is
about (both measured on the demo's bulletins, with complaints by another head than the rule's). Where it is
not offered, the concern is diagnosed. Related complaints are offered theirs. Both rules meet the same
concerns and learn from what they did and saw; the cost of each concern is exact, as in the policy bench.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping

import numpy as np

from kb.advice.chances.learn import learn
from kb.advice.planning.choosing_steps import next_step
from kb.advice.planning.plan import Solution, solve_joint
from kb.advice.planning.problem import PlanCheck, PlanUpdate, Problem
from kb.advice.planning.states import joint_chances
from kb.nouns.advice import PastConcern
from tests.bench.policy import AGAIN, LEARNING
from tests.simulated.living import lived
from tests.simulated.shops import CHECKS, GRADE_IF_NOT, GRADES, LABOR_RATE, Case, Shop, open_case, open_shop
from tests.simulated.yardstick import SETTINGS, believed, true_cost, truth

UNRELATED = 0.5
RULES: Mapping[str, float] = {"shared words": 31 / 60, "about it": 2 / 65}


def unrelated(shop: Shop, random: np.random.Generator) -> Case:
    """A complaint about something else, on a vehicle that an update covers."""
    update = int(random.choice(shop.often.size))
    grade = GRADES[random.choice(3, p=GRADE_IF_NOT)]
    results = random.random(CHECKS) < shop.yes[0, :, 1]
    return Case((update,), (grade,), None, tuple(bool(one) for one in results))


def nothing_cures(shop: Shop, case: Case) -> Solution:
    """The truth of such a complaint: something else for sure."""
    checks = tuple(
        PlanCheck(d.key, (float(up), float(down)), d.minutes / 60 * LABOR_RATE, key=d.key)
        for d, (up, down) in zip(shop.guesses, shop.yes[0], strict=True)
    )
    updates = (PlanUpdate(str(case.updates[0]), 0.0, shop.reflash),)
    problem = Problem(updates, checks, shop.diagnosis, shop.rework)
    return solve_joint(problem, joint_chances(problem))


def cost_of(shop: Shop, seed: int, offered_anyway: float) -> float:
    """Money a concern while the shop learns, under a rule that offers so many of the unrelated."""
    random = np.random.default_rng([2026, seed])
    shown = np.random.default_rng([seed, 7])
    past: list[PastConcern] = []
    learned = learn((), shop.guesses, SETTINGS)
    total = 0.0
    for number in range(LEARNING):
        if number % AGAIN == 0:
            learned = learn(past, shop.guesses, SETTINGS, revision=number)
        is_related = random.random() >= UNRELATED
        case = open_case(shop, random) if is_related else unrelated(shop, random)
        is_offered = shown.random() < offered_anyway
        if not is_related and not is_offered:
            total += shop.diagnosis
            continue
        real = truth(shop, case) if is_related else nothing_cures(shop, case)
        plan = believed(shop, case, learned, number)
        keys = [d.key for d in shop.guesses]
        checks = tuple(keys.index(c.key) for c in plan.problem.checks)
        total += true_cost(real, lambda code, tried, plan=plan: next_step(plan, code, tried), checks)
        past.append(lived(shop, case, plan, checks, number))
    return total / LEARNING


def main() -> None:
    shops = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    costs = {
        name: np.array(
            [cost_of(open_shop(np.random.default_rng([2026, seed])), seed, share) for seed in range(shops)]
        )
        for name, share in RULES.items()
    }
    for name, cost in costs.items():
        print(f"{name:14} {cost.mean():7.1f} a concern")
    ratio = costs["about it"] / costs["shared words"]
    print(f"ratio {ratio.mean():.3f} ({ratio.min():.3f} to {ratio.max():.3f}) over {shops} shops")


if __name__ == "__main__":
    main()
