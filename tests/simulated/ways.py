"""Who programs it in a simulated shop: what each way costs on a concern, and what a shop pays that always
does the same. Every range is invented.

Ranges (uniform), by shop: a subscription's fee 20 to 120, one runs already on 0 to 90 in 100 concerns; a
mobile programmer asks 110 to 300 and takes 0 to 3 days, a dealer 140 to 350 and 1 to 4 days; a day away costs
0 to 40; coverage may apply on 0 to 15 in 100 concerns (free, 1 to 5 days). Work here is as in shops.py.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from kb.advice.chances.learn import Learned
from kb.advice.planning.choosing_steps import next_step
from kb.advice.planning.plan import Solution, solve_joint
from kb.nouns.advice import ConcernInHand
from kb.nouns.shop.ways import Way, WayOffer, WaysInHand
from tests.simulated.shops import Case, Shop
from tests.simulated.yardstick import believed_of, in_hand, true_cost, truth


@dataclass(frozen=True, slots=True)
class Market:
    """What others ask of one shop, and how often what holds."""

    fee: float
    running: float
    mobile: tuple[float, int]
    dealer: tuple[float, int]
    free_days: int
    covered: float
    day: float


def open_market(random: np.random.Generator) -> Market:
    return Market(
        fee=random.uniform(20, 120),
        running=random.uniform(0, 0.9),
        mobile=(random.uniform(110, 300), int(random.integers(0, 4))),
        dealer=(random.uniform(140, 350), int(random.integers(1, 5))),
        free_days=int(random.integers(1, 6)),
        covered=random.uniform(0, 0.15),
        day=random.uniform(0, 40),
    )


def costs_by_habit(
    shop: Shop, market: Market, case: Case, learned: Learned, random: np.random.Generator
) -> dict[str, float]:
    """True cost of one concern by who programs it, the plan being the advice's each time; and of the optimum
    that knows the chances and takes whichever way is cheapest.
    """
    runs, covered = random.random() < market.running, random.random() < market.covered
    concern = in_hand(shop, case, 0)
    money = replace(
        concern.costs, subscription_fee=market.fee, subscription_active=runs, vehicle_day=market.day
    )
    concern = replace(concern, costs=money, free_because="coverage may apply" if covered else "")
    offers = _offers(concern, market)
    real, fee = truth(shop, case), 0.0 if runs else market.fee
    priced = {Way.HERE: (shop.reflash, fee)}
    priced |= {one.way: (one.price + one.days * market.day, 0.0) for one in offers}
    if not covered:
        del priced[Way.DEALER_FREE]

    def paid(at_hand: ConcernInHand, way: Way) -> float:
        plan = believed_of(at_hand, learned)
        keys = [one.key for one in shop.guesses]
        checks = tuple(keys.index(one.key) for one in plan.problem.checks)
        return true_cost(_at(real, *priced[way]), lambda code, tried: next_step(plan, code, tried), checks)

    cheapest = min(priced, key=lambda way: sum(priced[way]))
    return {
        "always here": paid(concern, Way.HERE),
        "always sent out": paid(_only(concern, offers[:1]), Way.MOBILE),
        "cheapest way": paid(_with(concern, WaysInHand("", offers)), cheapest),
        "optimum": min(_at(real, *price).expected_cost for price in priced.values()),
    }


def _offers(concern: ConcernInHand, market: Market) -> tuple[WayOffer, ...]:
    told = (
        (Way.MOBILE, *market.mobile),
        (Way.DEALER_PAID, *market.dealer),
        (Way.DEALER_FREE, 0.0, market.free_days),
    )
    return tuple(WayOffer(way, price, days, concern.as_of) for way, price, days in told)


def _with(concern: ConcernInHand, ways: WaysInHand) -> ConcernInHand:
    return replace(concern, candidates=tuple(replace(one, ways=ways) for one in concern.candidates))


def _only(concern: ConcernInHand, offers: tuple[WayOffer, ...]) -> ConcernInHand:
    return _with(concern, WaysInHand("", offers, listed=False))


def _at(real: Solution, cost: float, fee: float) -> Solution:
    """The same truth where a reflash costs that, and its first one a fee."""
    updates = tuple(replace(one, cost=cost) for one in real.problem.updates)
    problem = replace(real.problem, updates=updates, shared=fee, shared_if_found=fee)
    return solve_joint(problem, real.weights)
