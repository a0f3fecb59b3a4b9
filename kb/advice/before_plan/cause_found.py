"""A finding that is itself the cause: it leads to its repair and a retest, not to a full diagnosis."""

from __future__ import annotations

from collections.abc import Iterable

from kb.advice.before_plan.speaks_against import result_against
from kb.nouns.advice import PlanStep
from kb.nouns.advice_inputs import CheckDefinition, CheckInHand
from kb.nouns.bay.first_steps import FoundCause
from kb.nouns.concerns import FindingResult
from kb.nouns.recorded_words import result_word
from kb.nouns.starting_checks import CAUSES

THEN = "test again, then close as that cause"


def cause_found(checks: Iterable[CheckInHand], settled: Iterable[FoundCause]) -> FoundCause | None:
    """The last finding that names a fault with its repair, else a gate settled as one; words are none."""
    named = [
        check
        for check in checks
        if check.recorded_at is not None and cause_told(check.definition, check.result)
    ]
    last = max(named, key=lambda check: (check.recorded_at, check.definition.key), default=None)
    if last is None:
        return next(iter(settled), None)
    told = last.definition
    found = f"{told.name}: {result_word(told, last.result)}"
    return FoundCause(told.key, found, cause_told(told, last.result), told.repair)


def cause_told(check: CheckDefinition, result: FindingResult) -> str:
    """Such as "leak in the intake"; where the lead wrote another repair, that. Empty for a result that names
    no fault with its repair.
    """
    if not check.repair or result is not result_against(check):
        return ""
    return CAUSES.get((check.key, check.repair), check.repair)


def repair_step(number: int, found: FoundCause) -> PlanStep:
    return PlanStep(number, "repair", repair_said(found), found.key, cause=found.cause)


def repair_said(found: FoundCause) -> str:
    """Such as "Smoke-test the intake: LEAKS. Repair the leak, test again, then close as that cause"."""
    return f"{found.found}. {found.repair.rstrip('. ')}, {THEN}"
