"""What each step costs by the shop's settings, and who pays.

Every cost is a line with its total, what the customer pays and what the shop bears. Waiting is not work and
has a price of its own.
"""

from __future__ import annotations

from typing import Protocol

from kb.nouns.advice import CandidateInHand, CheckDefinition, CostLine, CostSettings


class FailureChances(Protocol):
    """How often programming fails so that the module is recovered, and so that it is lost."""

    @property
    def recovery_chance(self) -> float: ...
    @property
    def module_lost_chance(self) -> float: ...


def split(label: str, total: float, customer_share: float) -> CostLine:
    customer = total * customer_share
    return CostLine(label, total, customer, total - customer)


def added(label: str, lines: tuple[CostLine, ...]) -> CostLine:
    return CostLine(
        label, sum(x.total for x in lines), sum(x.customer for x in lines), sum(x.shop for x in lines)
    )


def labor(minutes: float, settings: CostSettings) -> float:
    return minutes / 60.0 * settings.labor_rate


def reflash(candidate: CandidateInHand, settings: CostSettings) -> CostLine:
    """Minutes at the labor rate, relearns and calibrations after it, and the risk of failed programming."""
    minutes = settings.reflash_minutes if candidate.reflash_minutes is None else candidate.reflash_minutes
    price = settings.module_price if candidate.module_price is None else candidate.module_price
    work = labor(minutes, settings) + candidate.other_cost
    risk = failed_programming(settings, price, labor(settings.recovery_minutes, settings))
    return added(
        f"Reflash {candidate.name}",
        (
            split("work and relearns", work, settings.customer_reflash),
            split("failed programming", risk, settings.customer_failed_programming),
        ),
    )


def failed_programming(chances: FailureChances, module_price: float, recovery: float) -> float:
    """What failures cost on average, spread over every programming; in the unit of both prices."""
    return chances.module_lost_chance * module_price + chances.recovery_chance * recovery


def subscription(settings: CostSettings) -> CostLine:
    """Paid once per plan, nothing while one is active."""
    fee = 0.0 if settings.subscription_active else settings.subscription_fee
    return split("Programming subscription", fee, settings.customer_subscription)


def diagnosis(settings: CostSettings) -> CostLine:
    total = labor(settings.diagnosis_minutes, settings)
    return split("Diagnosis to conclusion", total, settings.customer_diagnosis)


def rework(settings: CostSettings) -> CostLine:
    """A reflash that does not cure: seen at the road test (share s), or come back later (1 - s)."""
    seen = settings.road_test_failure_share
    total = seen * settings.road_test_failure_cost + (1.0 - seen) * settings.comeback_cost
    return split("Reflash that does not cure", total, settings.customer_rework)


def check(definition: CheckDefinition, settings: CostSettings) -> CostLine:
    """Work and material; and the price of waiting, which the shop bears: a bay taken, a vehicle kept."""
    work = labor(definition.minutes, settings) + definition.cost
    waiting = definition.wait_minutes / 60.0 * settings.waiting_rate
    return added(
        definition.name,
        (split("work", work, settings.customer_check), split("waiting", waiting, 0.0)),
    )


def reflash_threshold(reflash_cost: float, rework_cost: float, diagnosis_cost: float) -> float:
    """p* = (c + r) / (c + r + c_d), above which reflashing first costs less (Pauker & Kassirer 1975).

    Harm c + r, benefit c_d. 1 where diagnosis costs nothing.
    """
    harm = reflash_cost + rework_cost
    total = harm + diagnosis_cost
    return harm / total if diagnosis_cost > 0 else 1.0
