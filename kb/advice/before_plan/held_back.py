"""Checks that a running clock forbids: the plan takes another one, or says what to wait for."""

from __future__ import annotations

from collections.abc import Iterable

from kb.nouns.advice import PlanNode
from kb.nouns.advice_inputs import CheckInHand
from kb.nouns.bay.first_steps import WAIT, ToSettle


def held_back(checks: Iterable[CheckInHand]) -> frozenset[str]:
    """Keys of the checks that must not be done now."""
    return frozenset(one.definition.key for one in checks if one.not_before)


def wait_first(plan: PlanNode | None, checks: Iterable[CheckInHand]) -> tuple[ToSettle, ...]:
    """What comes before a plan whose first check must not be done yet; none where it can."""
    if plan is None or plan.do != "check":
        return ()
    return tuple(
        ToSettle(f"Wait until {one.not_before}, then {plan.name[:1].lower()}{plan.name[1:]}", WAIT)
        for one in checks
        if one.definition.key == plan.key and one.not_before
    )
