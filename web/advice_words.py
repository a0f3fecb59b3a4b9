"""Parts of advice as a technician reads them."""

from __future__ import annotations

from kb.nouns.advice import CandidateAdvice, CureRecord, PlanNode
from web.words import count, half_up, money, percent

_SOLID = 0.75  # share of draws above which a call is called solid; a choice of wording


def next_words(node: PlanNode | None) -> str:
    """What follows a result, on the button that gives it."""
    if node is None:
        return "not expected"
    if node.do == "diagnose":
        return "go on diagnosing"
    return f"reflash {node.name}" if node.do == "reflash" else f"then: {node.name[:1].lower()}{node.name[1:]}"


def record_words(record: CureRecord) -> str:
    """Such as "11 cured, 4 not": never "11 of 15", which hides who is still waiting."""
    return f"{count(record.cured)} cured, {count(record.tried - record.cured)} not"


def start_words(candidate: CandidateAdvice) -> str:
    """Where the chance starts: concerns it was considered for whose answer is known."""
    cured, known = candidate.starting_counts
    start = f"starts at {percent(candidate.starting)}"
    if known <= 0:
        return f"{start}: not considered for any closed concern yet, so it takes after the other updates"
    return (
        f"{start}: of the concerns it was considered for, "
        f"{count(cured)} cured by it, {count(known - cured)} not; adjusted for few vehicles"
    )


def steady_words(steadiness: float) -> str:
    """Such as "Solid call (88 of 100)"."""
    call = "Solid call" if steadiness >= _SOLID else "Close call"
    return f"{call} ({half_up(100 * steadiness)} of 100)."


def range_words(holds: tuple[float, float | None], currency: str) -> str:
    """Over which cost of diagnosis the verdict holds."""
    low, high = holds
    if high is None:
        if low <= 0:
            return "Holds whatever the diagnosis costs."
        return f"Holds while diagnosis costs {money(low, currency)} or more."
    if low <= 0:
        return f"Holds while diagnosis costs up to {money(high, currency)}."
    return f"Holds while diagnosis costs {money(low, currency)} to {money(high, currency)}."
