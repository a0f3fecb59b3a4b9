"""Parts of advice as a technician reads them."""

from __future__ import annotations

from kb.nouns.advice import CandidateAdvice, CureRecord, Evidence, PlanNode, Verdict
from kb.nouns.chance_words import IN_PART, of_hundred, record_said
from web.words import count, money, percent, plural

_SOLID = 0.75  # share of draws above which a call is called solid; a choice of wording


def next_words(node: PlanNode | None) -> str:
    """What follows a result, on the button that gives it."""
    if node is None:
        return "not expected"
    if node.do == "diagnose":
        return Verdict.KEEP_DIAGNOSING.words.lower()
    return f"reflash {node.name}" if node.do == "reflash" else f"then: {node.name[:1].lower()}{node.name[1:]}"


def record_words(record: CureRecord) -> str:
    """The vehicles reflashed with an update."""
    return record_said(record.cured, record.tried - record.cured, record.waiting, record.not_heard_of)


def seen_in(evidence: Evidence) -> str:
    """The vehicles behind one push. The start and the tempering count concerns, not results of a check."""
    counts = evidence.counts
    if not counts.total and not evidence.silent:
        return "none of our vehicles yet"
    if evidence.key == "start":
        known = f"{count(counts.cured)} cured by it, {count(counts.not_cured)} not"
        silent = f", and {count(evidence.silent)} {IN_PART}" if evidence.silent else ""
        return f"{known}{silent}, of the concerns it was considered for"
    if evidence.key == "past":
        return f"advice on {plural(counts.total, 'closed concern')}"
    return f"{counts.yes_if_cured} of {counts.cured} cured, {counts.yes_if_not} of {counts.not_cured} not"


def evidence_name(evidence: Evidence, candidate: CandidateAdvice) -> str:
    """What a push is called; the start says the chance that it stands for."""
    if evidence.key == "start":
        return f"This update's past: starts at {percent(candidate.starting)}"
    return evidence.name


def steady_words(steadiness: float) -> str:
    """Such as "Solid call (88 of 100)"."""
    call = "Solid call" if steadiness >= _SOLID else "Close call"
    return f"{call} ({of_hundred(steadiness)})."


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
