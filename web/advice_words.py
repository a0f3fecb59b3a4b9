"""Parts of advice as a technician reads them."""

from __future__ import annotations

from kb.nouns.advice import CandidateAdvice, CureRecord, Evidence, PlanNode, Zones
from web.words import count, half_up, money, percent, plural

_SOLID = 0.75  # share of draws above which a call is called solid; a choice of wording


def next_words(node: PlanNode | None) -> str:
    """What follows a result, on the button that gives it."""
    if node is None:
        return "not expected"
    if node.do == "diagnose":
        return "go on diagnosing"
    return f"reflash {node.name}" if node.do == "reflash" else f"then: {node.name[:1].lower()}{node.name[1:]}"


def record_words(record: CureRecord) -> str:
    """Such as "11 cured, 4 not, 3 waiting": never "11 of 15", which hides who is still waiting."""
    said = [f"{count(record.cured)} cured", f"{count(record.tried - record.cured)} not"]
    said += [f"{count(record.waiting)} waiting"] * bool(record.waiting)
    said += [f"{count(record.not_heard_of)} not heard of"] * bool(record.not_heard_of)
    return ", ".join(said)


def seen_in(evidence: Evidence) -> str:
    """The vehicles behind one push. The start and the tempering count concerns, not results of a check."""
    counts = evidence.counts
    if not counts.total and not evidence.silent:
        return "none of our vehicles yet"
    if evidence.key == "start":
        known = f"{count(counts.cured)} cured by it, {count(counts.not_cured)} not"
        silent = (
            f", and {count(evidence.silent)} waiting or not heard of, counted in part"
            if evidence.silent
            else ""
        )
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


def zone_words(zones: Zones) -> str:
    """What the plan begins with by the chance of the update; the middle zone may be empty."""
    low, high = zones
    if high - low < 0.005:
        return f"Below {percent(high)} the diagnosis goes on, above it a reflash pays."
    between = f"between {percent(low)} and {percent(high)} a check comes first"
    if low <= 0.0:
        return f"Up to {percent(high)} a check comes first, above that a reflash pays."
    if high >= 1.0:
        return f"Below {percent(low)} the diagnosis goes on, above that a check comes first."
    return f"Below {percent(low)} the diagnosis goes on, {between}, above that a reflash pays."
