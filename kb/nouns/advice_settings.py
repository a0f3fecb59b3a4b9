"""What a shop starts from and pays, as the advice takes it: guesses, costs, how far it learns."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Guess:
    """Somebody's "k of 10", worth `weight` vehicles."""

    k: float
    weight: float
    author: str = ""


NOT_SURE = Guess(5, 4)
"""Where a shop starts whose owner has not said how many an update cures. A guess, no source."""
ANSWER_WEIGHT = 8.0
"""Vehicles that the owner's answer is worth, unless the shop says otherwise."""
OWNERS_ANSWER = "the owner's answer"


@dataclass(frozen=True, slots=True)
class CostSettings:
    """The shop's money. The `customer_*` shares say how much of a cost the customer pays.

    Defaults are guesses by which a shop starts (common practice, no source); of `waiting_rate`, the price of
    an hour in which a vehicle waits, that of advice frozen before there was one. `vehicle_day`: the
    price of a day on which it is away.
    """

    labor_rate: float = 150.0
    reflash_minutes: float = 60.0
    diagnosis_minutes: float = 150.0
    road_test_failure_cost: float = 60.0
    comeback_cost: float = 250.0
    road_test_failure_share: float = 0.5
    module_price: float = 900.0
    module_lost_chance: float = 0.005
    recovery_chance: float = 0.03
    recovery_minutes: float = 60.0
    subscription_fee: float = 0.0
    subscription_active: bool = False
    customer_reflash: float = 1.0
    customer_diagnosis: float = 1.0
    customer_check: float = 1.0
    customer_subscription: float = 1.0
    customer_rework: float = 0.0
    customer_failed_programming: float = 0.0
    waiting_rate: float = 0.0
    vehicle_day: float = 0.0


STARTING_COSTS = CostSettings()


@dataclass(frozen=True, slots=True)
class AdviceSettings:
    """How a shop learns and how far it trusts a look-up. Defaults are design values; guesses are guesses.

    `spread_center` and `spread_sd` describe log(a+b) of the updates' common belief. `carry_over` is the
    weight at which the record of a replaced calibration counts for the newer one. Tempering has two numbers
    to fit, so the latest `tempering_concerns` are plenty. `quickest_first`: among plans nearly equal the
    quickest check is the first step, and zones agree with it; advice frozen before took the least counted.
    """

    look_up_limit_days: int = 90
    window_days: int = 90
    starting: Guess = NOT_SURE
    spread_center: float = 8.0
    spread_sd: float = 1.0
    grades_if_cured: tuple[float, float, float] = (5.0, 3.5, 1.5)
    grades_if_not: tuple[float, float, float] = (3.0, 4.0, 3.0)
    grades_weight: float = 10.0
    alike_phi: float = 0.5
    alike_count: int = 20
    tempering_concerns: int = 5000
    carry_over: float = 0.5
    draws: int = 400
    plan_checks: int = 12
    zone_checks: int = 8
    currency: str = "$"
    quickest_first: bool = False
