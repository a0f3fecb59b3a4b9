"""A check's guesses replaced by what the shop counted, and what that does to its belief."""

from __future__ import annotations

from dataclasses import dataclass, replace

from kb.advice.chances.evidence import CheckBelief, check_belief
from kb.nouns.advice import CheckDefinition, EvidenceCounts, Guess

FEW = 10
"""Counted concerns, on each side, below which the counts are no guess."""
RARELY = 3
"""Of both results together so many must have been seen: of what never was the ratio is an accident."""
WEIGHT = 1.0
"""Vehicles that such a guess is worth: the counts come on top of it, and are not to be taken twice."""


@dataclass(frozen=True, slots=True)
class CountsAsGuess:
    """Of 10 that an update cured, and of 10 that it did not, how many said yes here; at which weight."""

    yes_in_10_cured: float
    yes_in_10_not: float
    weight: float = WEIGHT


def counts_as_guess(counts: EvidenceCounts) -> CountsAsGuess | None:
    """Half a yes and half a no are added, so that none is never or always; None where too few counted."""
    if few_said(counts):
        return None
    return CountsAsGuess(
        _in_ten(counts.yes_if_cured, counts.cured), _in_ten(counts.yes_if_not, counts.not_cured)
    )


def _in_ten(yes: int, of: int) -> float:
    return round(10 * (yes + 0.5) / (of + 1), 1)


def belief_with(definition: CheckDefinition, guess: CountsAsGuess, counts: EvidenceCounts) -> CheckBelief:
    """What is believed of the check once its guesses are these."""
    author = definition.yes_if_cured.author
    changed = replace(
        definition,
        yes_if_cured=Guess(guess.yes_in_10_cured, guess.weight, author),
        yes_if_not=Guess(guess.yes_in_10_not, guess.weight, author),
    )
    return check_belief(changed, counts)


def few_said(counts: EvidenceCounts) -> str:
    """Why the counts cannot be used yet, in words; empty where they can."""
    if min(counts.cured, counts.not_cured) < FEW:
        counted = f"{counts.cured} cured and {counts.not_cured} not cured have counted"
        return f"Cannot tell yet: {counted}, {FEW} of each are needed."
    yes = counts.yes_if_cured + counts.yes_if_not
    if RARELY <= yes <= counts.total - RARELY:
        return ""
    return (
        f"Cannot tell yet: of {counts.total} that counted {yes} said yes, {RARELY} of each result are needed."
    )
