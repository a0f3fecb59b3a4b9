"""Advice in words a technician reads."""

from __future__ import annotations

from kb.nouns.advice import CandidateAdvice, Verdict

GUESSES = "No outcomes counted yet: these are guesses."
LEADS = {
    Verdict.REFLASH: "Reflash",
    Verdict.KEEP_DIAGNOSING: "Keep diagnosing",
    Verdict.CHECK_FIRST: "Check first",
}


def in_ten(chance: float) -> str:
    """A chance as people say it: "about 7 in 10"."""
    tenths = int(10 * chance + 0.5)
    if tenths == 0:
        return "less than 1 in 10"
    if tenths == 10:
        return "more than 9 in 10"
    return f"about {tenths} in 10"


def chance_sentence(chance: float, interval: tuple[float, float], threshold: float, *, guess: bool) -> str:
    """Chance, its 90 % interval and where a reflash begins to pay; says so where all of it is guesses."""
    low, high = (int(10 * end + 0.5) for end in interval)
    span = f"{low} of 10" if low == high else f"{low} to {high} of 10"
    said = in_ten(chance)
    sentence = (
        f"{said[0].upper()}{said[1:]} ({span}) that this update cures it; "
        f"reflash pays above {int(100 * threshold + 0.5)} in 100."
    )
    return f"{sentence} {GUESSES}" if guess else sentence


def verdict_sentence(verdict: Verdict, what: str, lead: CandidateAdvice | None) -> str:
    """The verdict, its first step, and the chance of the leading update."""
    head = f"{LEADS[verdict]}: {what.rstrip('.')}." if what else f"{LEADS[verdict]}."
    return f"{head} {lead.sentence}" if lead else head
