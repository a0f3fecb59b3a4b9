"""The shop's settings as one frozen, typed value, and as the other rooms take them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from kb.desk.setting_definitions import BY_KEY
from kb.nouns.advice_settings import (
    ANSWER_WEIGHT,
    NOT_SURE,
    OWNERS_ANSWER,
    AdviceSettings,
    CostSettings,
    Guess,
)
from kb.nouns.copying import copied
from kb.nouns.currency import symbol, to_major
from kb.nouns.outcomes import WindowRule
from kb.outcomes.updates_in_general import HyperPrior


def _default(key: str) -> Any:
    return BY_KEY[key].default


@dataclass(frozen=True, slots=True)
class ShopSettings:
    """Every setting as a typed value; units are in DEFINITIONS, `_minor` is the currency's smallest unit."""

    labor_rate_minor_per_hour: int = _default("labor_rate_minor_per_hour")
    reflash_minutes: float = _default("reflash_minutes")
    relearn_cost_minor: int = _default("relearn_cost_minor")
    part_cost_minor: int = _default("part_cost_minor")
    diagnosis_minutes: float = _default("diagnosis_minutes")
    waiting_minor_per_hour: int = _default("waiting_minor_per_hour")
    vehicle_day_minor: int = _default("vehicle_day_minor")
    way_price_limit_days: int = _default("way_price_limit_days")
    subscription_fee_minor: int = _default("subscription_fee_minor")
    comeback_cost_minor: int = _default("comeback_cost_minor")
    road_test_failure_cost_minor: int = _default("road_test_failure_cost_minor")
    road_test_failure_share: float = _default("road_test_failure_share")
    recovery_chance: float = _default("recovery_chance")
    recovery_minutes: float = _default("recovery_minutes")
    module_lost_chance: float = _default("module_lost_chance")
    module_price_minor: int = _default("module_price_minor")
    module_prices_minor: Mapping[str, int] = field(default_factory=dict)
    vehicles_guess_a_year: float = _default("vehicles_guess_a_year")
    vehicles_guess_years: float = _default("vehicles_guess_years")
    training_by_make_minor: Mapping[str, int] = field(default_factory=dict)
    device_rent_by_make_minor: Mapping[str, int] = field(default_factory=dict)
    customer_reflash: float = _default("customer_reflash")
    customer_diagnosis: float = _default("customer_diagnosis")
    customer_check: float = _default("customer_check")
    customer_subscription: float = _default("customer_subscription")
    customer_rework: float = _default("customer_rework")
    customer_failed_programming: float = _default("customer_failed_programming")
    window_days: int = _default("window_days")
    window_miles: int = _default("window_miles")
    usual_gaps: int = _default("usual_gaps")
    look_up_limit_days: int = _default("look_up_limit_days")
    prior_cured_in_10: float | None = _default("prior_cured_in_10")
    prior_weight: float | None = _default("prior_weight")
    spread_center: float = _default("spread_center")
    spread_sd: float = _default("spread_sd")
    grade_strong_if_cured: float = _default("grade_strong_if_cured")
    grade_partial_if_cured: float = _default("grade_partial_if_cured")
    grade_weak_if_cured: float = _default("grade_weak_if_cured")
    grade_strong_if_not: float = _default("grade_strong_if_not")
    grade_partial_if_not: float = _default("grade_partial_if_not")
    grade_weak_if_not: float = _default("grade_weak_if_not")
    grades_weight: float = _default("grades_weight")
    alike_phi: float = _default("alike_phi")
    alike_count: int = _default("alike_count")
    carry_over: float = _default("carry_over")
    shared_device_lock_minutes: int = _default("shared_device_lock_minutes")

    def module_price_minor_of(self, module: str) -> int:
        """The price of this module where the shop entered one, else of any module."""
        return self.module_prices_minor.get(module.strip().upper(), self.module_price_minor)

    def window_rule(self) -> WindowRule:
        return WindowRule(self.window_days, self.window_miles, self.usual_gaps)

    def starting(self) -> Guess:
        """What the owner answered, else the guess of a shop that was not sure."""
        weight = self.prior_weight
        if self.prior_cured_in_10 is None:
            return Guess(NOT_SURE.k, weight or NOT_SURE.weight)
        return Guess(self.prior_cured_in_10, weight or ANSWER_WEIGHT, OWNERS_ANSWER)

    def prior(self) -> HyperPrior:
        """The same as the rates take it."""
        start = self.starting()
        return HyperPrior(start.k, start.weight, self.spread_center, self.spread_sd)

    def cost_settings(
        self, currency: str, *, subscription_fee_minor: int | None = None, subscription_active: bool = False
    ) -> CostSettings:
        """The same money in whole units, as the advice takes it; None takes the shop's usual fee."""
        fee = self.subscription_fee_minor if subscription_fee_minor is None else subscription_fee_minor
        return copied(
            CostSettings,
            self,
            labor_rate=to_major(self.labor_rate_minor_per_hour, currency),
            road_test_failure_cost=to_major(self.road_test_failure_cost_minor, currency),
            comeback_cost=to_major(self.comeback_cost_minor, currency),
            module_price=to_major(self.module_price_minor, currency),
            subscription_fee=to_major(fee, currency),
            subscription_active=subscription_active,
            waiting_rate=to_major(self.waiting_minor_per_hour, currency),
            vehicle_day=to_major(self.vehicle_day_minor, currency),
        )

    def advice_settings(self, currency: str) -> AdviceSettings:
        """How this shop learns, as the advice takes it."""
        return AdviceSettings(
            look_up_limit_days=self.look_up_limit_days,
            window_days=self.window_days,
            starting=self.starting(),
            spread_center=self.spread_center,
            spread_sd=self.spread_sd,
            grades_if_cured=(
                self.grade_strong_if_cured,
                self.grade_partial_if_cured,
                self.grade_weak_if_cured,
            ),
            grades_if_not=(self.grade_strong_if_not, self.grade_partial_if_not, self.grade_weak_if_not),
            grades_weight=self.grades_weight,
            alike_phi=self.alike_phi,
            alike_count=self.alike_count,
            carry_over=self.carry_over,
            currency=symbol(currency),
            quickest_first=True,
        )
