"""A concern's cost on day one by the owner's answer. Run: nice python -m tests.bench.first_day [shops]

Simulated shops as in tests.bench.policy, before any outcome, in three worlds: of their updates few cure, as
many as there, or most. The owner's answer is what ten reflashes sold on a bulletin alone came to, drawn anew
in each shop; beside it an owner who is three of ten too hopeful. All starts meet the same concerns, and the
cost of each is exact under the true joint chances.
"""

from __future__ import annotations

import sys
from dataclasses import replace

import numpy as np

from kb.advice.chances.learn import learn
from kb.advice.planning.choosing_steps import next_step
from kb.nouns.advice_settings import ANSWER_WEIGHT, NOT_SURE, OWNERS_ANSWER, Guess
from tests.simulated.shops import UPDATES, Shop, open_case, open_shop
from tests.simulated.yardstick import SETTINGS, believed, true_cost, truth

CONCERNS = 40
WORLDS = {"few cure": (0.05, 0.2), "as usual": (0.3, 0.6), "most cure": (0.7, 0.9)}
"""Range of the mean cure chance of a shop's updates; their spread is that of the simulated shops."""


def shop_in(world: tuple[float, float], random: np.random.Generator) -> Shop:
    mean, strength = random.uniform(*world), random.uniform(3.0, 12.0)
    cures = random.beta(mean * strength, (1 - mean) * strength, UPDATES)
    return replace(open_shop(random), cures=np.clip(cures, 0.01, 0.99)[None])


def starts(shop: Shop, random: np.random.Generator) -> dict[str, Guess]:
    sold = shop.cures[0, random.integers(0, UPDATES, 10)]
    k = int((random.random(10) < sold).sum())
    return {
        "not sure": NOT_SURE,
        "answered": Guess(k, ANSWER_WEIGHT, OWNERS_ANSWER),
        "three too hopeful": Guess(min(k + 3, 10), ANSWER_WEIGHT, OWNERS_ANSWER),
    }


def day_one(shop: Shop, random: np.random.Generator) -> dict[str, float]:
    """Mean cost of a concern by start, and the optimum's that knows the truth."""
    knows = {
        name: learn((), shop.guesses, replace(SETTINGS, starting=start))
        for name, start in starts(shop, random).items()
    }
    keys = [check.key for check in shop.guesses]
    spent = dict.fromkeys((*knows, "optimum"), 0.0)
    for number in range(CONCERNS):
        case = open_case(shop, random)
        real = truth(shop, case)
        spent["optimum"] += real.expected_cost / CONCERNS
        for name, learned in knows.items():
            plan = believed(shop, case, learned, number)
            checks = tuple(keys.index(check.key) for check in plan.problem.checks)
            cost = true_cost(real, lambda code, tried, plan=plan: next_step(plan, code, tried), checks)
            spent[name] += cost / CONCERNS
    return spent


def main() -> None:
    shops = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    for at, (name, world) in enumerate(WORLDS.items()):
        each = []
        for seed in range(shops):
            random = np.random.default_rng([2027, at, seed])
            each.append(day_one(shop_in(world, random), random))
        means = {start: float(np.mean([one[start] for one in each])) for start in each[0]}
        gain = np.array([one["not sure"] - one["answered"] for one in each])
        half = 1.96 * gain.std(ddof=1) / np.sqrt(shops)
        print(f"{name}: {shops} shops, {CONCERNS} concerns each on day one")
        print("  " + "   ".join(f"{start} ${mean:.0f}" for start, mean in means.items()))
        low, high = gain.mean() - half, gain.mean() + half
        print(f"  the answer saves ${gain.mean():.0f} a concern ({low:.0f} to {high:.0f})")


if __name__ == "__main__":
    main()
