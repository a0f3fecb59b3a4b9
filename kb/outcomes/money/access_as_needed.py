"""What programming access costs a year where a plan is bought whenever a vehicle comes and none runs.

The cheapest plans for days that are known afterwards would be too cheap for days to come.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike

from kb.errors import BadInput
from kb.outcomes.money.cheapest_subscription import SubscriptionPlan
from kb.outcomes.tally import Floats

DAYS = 365.0


def cost_a_year(plan: SubscriptionPlan, vehicles_a_year: ArrayLike) -> Floats:
    """Mean cost a year in minor units, in the long run, of this plan alone.

    Vehicles come on any day alike (Poisson), so that a day has one with chance p = 1 - exp(-rate / 365). From
    one purchase to the next there are the plan's L days, and then on average (1 - p) / p days until the next
    vehicle: the price times 365 p / (p L + 1 - p) a year, by the renewal reward theorem (Ross, Introduction
    to Probability Models, ch. 7; from memory). What a plan covers beyond the year is not lost.
    """
    p = -np.expm1(-np.asarray(vehicles_a_year, dtype=np.float64) / DAYS)
    return np.asarray(plan.price_minor * DAYS * p / (p * plan.days + 1.0 - p), dtype=np.float64)


def cheapest_a_year(plans: Iterable[SubscriptionPlan], vehicles_a_year: ArrayLike) -> Floats:
    """The same of whichever plan is cheapest at each rate. Raises BadInput without a plan."""
    costs = [cost_a_year(plan, vehicles_a_year) for plan in plans]
    if not costs:
        raise BadInput("Name at least one plan with its length and price.", fields={"plans": "empty"})
    return np.asarray(np.min(costs, axis=0), dtype=np.float64)
