"""A finding that is itself the cause: it leads to its repair and a retest, not to a full diagnosis."""

from __future__ import annotations

from collections.abc import Iterable

from kb.advice.before_plan.speaks_against import result_against
from kb.nouns.advice import PlanStep
from kb.nouns.advice_inputs import CheckInHand
from kb.nouns.bay.first_steps import FoundCause
from kb.nouns.concerns import FindingResult

THEN = "test again, then close as that cause"


def cause_found(checks: Iterable[CheckInHand], settled: Iterable[FoundCause]) -> FoundCause | None:
    """The last finding that names a fault with its repair, else a gate settled as one; words are none."""
    named = [
        check
        for check in checks
        if check.definition.repair
        and check.recorded_at is not None
        and check.result is result_against(check.definition)
    ]
    last = max(named, key=lambda check: (check.recorded_at, check.definition.key), default=None)
    if last is None:
        return next(iter(settled), None)
    told = last.definition
    word = told.yes_word if last.result is FindingResult.YES else told.no_word
    return FoundCause(told.key, f"{told.name}: {word}", told.repair)


def repair_step(number: int, found: FoundCause) -> PlanStep:
    return PlanStep(number, "repair", repair_said(found), found.key, cause=found.cause)


def repair_said(found: FoundCause) -> str:
    """Such as "Smoke-test the intake: LEAKS. Repair the leak, test again, then close as that cause"."""
    return f"{found.cause}. {found.repair.rstrip('. ')}, {THEN}"
