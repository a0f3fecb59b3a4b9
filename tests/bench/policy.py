"""What following the advice costs in simulated shops. Run: nice python -m tests.bench.policy [shops] [ways]

All policies meet the same concerns with the same findings (common random numbers), and the cost of each is
exact (tests/simulated/yardstick.py). The advice starts from zero outcomes and from the lead's guesses, and
learns from what it did and saw, anew every 10 concerns.

Kind world: every answer is known the next day. Honest world: answers come late, in part and failures first
(tests/simulated/hearing.py), three in ten concerns go another way than advised, most updates have few
outcomes and one wording covers two kinds of complaint (tests/simulated/shops.py). There the advice after so
many known outcomes is held against the advice before any, on the same fresh concerns.

With `ways` only: who programs it (tests/simulated/ways.py), the cheapest way of each concern against a shop
that does everything here and one that sends everything out, after 100 known answers.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from kb.advice.chances import starting_chance
from kb.advice.chances.evidence import log_ratio
from kb.advice.chances.learn import Learned, learn
from kb.advice.planning.choosing_steps import next_step
from kb.advice.planning.plan import DIAGNOSE, Solution
from kb.nouns.advice import PastConcern
from tests.simulated.hearing import honest_hearing
from tests.simulated.living import Life, live, lived, silence_on_file
from tests.simulated.shops import Case, Shop, open_case, open_honest_shop, open_shop
from tests.simulated.ways import costs_by_habit, open_market
from tests.simulated.yardstick import (
    SETTINGS,
    Floats,
    Policy,
    believed,
    greedy,
    reflash_first,
    true_cost,
    truth,
)

LEARNING, FRESH, AGAIN, JUDGED = 300, 60, 10, 4000
OUTCOMES = (20, 50, 100, 200, 300)


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


def planned(shop: Shop, case: Case, learned: Learned, number: int) -> tuple[Solution, tuple[int, ...]]:
    """The advice's plan and which of the shop's checks its checks are."""
    plan, keys = believed(shop, case, learned, number), [d.key for d in shop.guesses]
    return plan, tuple(keys.index(c.key) for c in plan.problem.checks)


def _meet(
    shop: Shop, case: Case, learned: Learned, number: int, sums: dict[str, float]
) -> tuple[Solution, tuple[int, ...]]:
    real, (plan, checks) = truth(shop, case), planned(shop, case, learned, number)
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
    starts = [starting_chance.mean(learned.starts, update) for update in range(shop.often.size)]
    for _ in range(JUDGED):
        case = open_case(shop, random)
        push = sum(
            log_ratio(learned.checks[d.key], said_yes=r)
            for d, r in zip(shop.guesses, case.results, strict=True)
            if random.random() < 0.5
        )
        update, grade = case.updates[0], case.grades[0]
        start = starts[update]
        rows.append(np.log(start / (1 - start)) + fit.a + fit.b * (push + learned.grades.log_ratio(grade)))
        outcomes.append(case.cause == update)
    kept = np.array(rows), np.array(outcomes, dtype=float)

    def loss(x: Floats) -> float:
        odds = x[0] + x[1] * kept[0]
        return float((np.logaddexp(0, odds) - kept[1] * odds).sum())

    return float(minimize(loss, np.array([0.0, 1.0])).x[1])


def resampled(shops: int) -> NDArray[np.intp]:
    """Places of shops drawn again and again, for 95 % intervals over shops (bootstrap)."""
    return np.random.default_rng(1).integers(0, shops, (4000, shops))


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
            pick = resampled(len(tallies))
            each = (habit - cost)[pick].sum(axis=1) / (habit - optimum)[pick].sum(axis=1)
            low, high = np.quantile(each, (0.025, 0.975))
            print(
                f"  {when:9} {name:16} {cost.mean() / concerns:7.1f} a concern   "
                f"regret mean {100 * regret.mean():5.1f} %  worst {100 * regret.max():5.1f} %   "
                f"saved share {100 * saved:6.1f} % ({100 * low:.0f} to {100 * high:.0f})"
            )
    slopes = [t.slope for t in tallies]
    print(f"  reliability slope mean {np.mean(slopes):.2f} ({min(slopes):.2f} to {max(slopes):.2f})")


def honest(seed: int) -> dict[str, float]:
    """Mean cost of a fresh concern in one honest shop, by what the advice had learned from."""
    random = np.random.default_rng([2027, seed])
    shop, hearing, a_day = open_honest_shop(random), honest_hearing(random), random.uniform(0.5, 2.0)
    fresh = [open_case(shop, random) for _ in range(FRESH)]
    real = [truth(shop, case) for case in fresh]

    def judged(learned: Learned) -> float:
        return float(np.mean([_advised(shop, *one, learned) for one in zip(fresh, real, strict=True)]))

    def habit(policy: Policy) -> float:
        return float(np.mean([true_cost(one, policy, ()) for one in real]))

    nothing = learn((), shop.guesses, SETTINGS)
    costs = {
        "optimum": float(np.mean([one.expected_cost for one in real])),
        "reflash always": float(np.mean([true_cost(one, reflash_first(one), ()) for one in real])),
        "diagnose always": habit(lambda _code, _tried: DIAGNOSE),
        "not learning": judged(nothing),
    }
    lives: list[Life] = []
    learned, left = nothing, list(OUTCOMES)
    while left:
        today = int(len(lives) / a_day)
        if len(lives) % AGAIN == 0:
            past = [life.on_file(number, today) for number, life in enumerate(lives)]
            silence = silence_on_file(lives, today)
            learned = learn(past, shop.guesses, SETTINGS, silence=silence, revision=len(lives))
            while left and learned.closed >= left[0]:
                costs[f"{left.pop(0)} outcomes"] = judged(learned)
        case = open_case(shop, random)
        lives.append(live(shop, case, planned(shop, case, learned, len(lives)), today, hearing, random))
    return costs


def _advised(shop: Shop, case: Case, real: Solution, learned: Learned) -> float:
    plan, checks = planned(shop, case, learned, 0)
    return true_cost(real, lambda code, tried: next_step(plan, code, tried), checks)


def report_honest(shops: list[dict[str, float]]) -> None:
    """Paired against not learning: mean difference and its 95 % interval over shops."""
    print(f"honest world: {len(shops)} shops, a fresh concern")
    cost = {name: np.array([one[name] for one in shops]) for name in shops[0]}
    pick = resampled(len(shops))
    for name, some in cost.items():
        apart, times = some - cost["not learning"], some / cost["optimum"]
        low, high = np.quantile(apart[pick].mean(axis=1), (0.025, 0.975))
        print(
            f"  {name:16} {some.mean():7.1f}   against not learning {apart.mean():+7.1f} ({low:+.1f} to "
            f"{high:+.1f})   x{times.mean():.3f} of the optimum, worst {times.max():.2f}"
        )


def by_way(seed: int) -> dict[str, float]:
    """Mean cost of a fresh concern in one kind shop, by who programs it."""
    random = np.random.default_rng([2028, seed])
    shop, market = open_shop(random), open_market(random)
    past: list[PastConcern] = []
    learned = learn((), shop.guesses, SETTINGS)
    for number in range(100):
        if number % AGAIN == 0:
            learned = learn(past, shop.guesses, SETTINGS, revision=number)
        case = open_case(shop, random)
        past.append(lived(shop, case, *planned(shop, case, learned, number), number))
    learned = learn(past, shop.guesses, SETTINGS, revision=100)
    each = [costs_by_habit(shop, market, open_case(shop, random), learned, random) for _ in range(FRESH)]
    return {name: float(np.mean([one[name] for one in each])) for name in each[0]}


def report_ways(shops: list[dict[str, float]]) -> None:
    """Paired against the cheapest way: mean difference and its 95 % interval over shops."""
    print(f"who programs it: {len(shops)} shops, a fresh concern")
    cost = {name: np.array([one[name] for one in shops]) for name in shops[0]}
    pick = resampled(len(shops))
    for name, some in cost.items():
        apart = some - cost["cheapest way"]
        low, high = np.quantile(apart[pick].mean(axis=1), (0.025, 0.975))
        print(
            f"  {name:16} {some.mean():7.1f}   against the cheapest way {apart.mean():+7.1f} ({low:+.1f} to "
            f"{high:+.1f})   dearer in {np.mean(apart > 1e-9):.0%} of the shops"
        )


def main() -> None:
    numbers = [int(one) for one in sys.argv[1:] if one.isdigit()]
    shops = numbers[0] if numbers else 20
    if "ways" in sys.argv:
        report_ways([by_way(seed) for seed in range(shops)])
        return
    report_honest([honest(seed) for seed in range(shops)])
    for title, copied in (("independent findings", 0.0), ("two checks that mostly agree", 0.7)):
        tallies = []
        for seed in range(shops):
            random = np.random.default_rng([2026, seed])
            tallies.append(run(open_shop(random, copied), random))
        report(f"kind world, {title}", tallies)


if __name__ == "__main__":
    main()
