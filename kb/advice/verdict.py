"""The verdict: reflash, keep diagnosing, or check first; which it is, and the sentence that says it."""

from __future__ import annotations

from kb.nouns.advice import CandidateAdvice, PlanNode, Verdict


def verdict_of(plan: PlanNode | None, *, to_settle: bool) -> Verdict:
    """The first step of the plan; "check first" where something is `to_settle` before it, such as a stop."""
    if to_settle or plan is None:
        return Verdict.CHECK_FIRST
    return Verdict.of_step(plan.do)


def verdict_sentence(verdict: Verdict, what: str, lead: CandidateAdvice | None) -> str:
    """The verdict, its first step, and the chance of the leading update."""
    head = f"{verdict.words}: {what.rstrip('.')}." if what else f"{verdict.words}."
    return f"{head} {lead.sentence}" if lead else head
