"""Whether a number still rests on a guess more than on what was counted for it."""

from __future__ import annotations

from kb.advice.chances.belief import UpdateRecord
from kb.advice.chances.evidence import GradeBelief
from kb.nouns.advice import AdviceSettings, CheckDefinition, EvidenceCounts


def outweighed(counted: float, weight: float) -> bool:
    """Whether so many counted vehicles weigh more than a guess worth `weight` of them."""
    return counted > weight


def start_is_guess(own: UpdateRecord, settings: AdviceSettings) -> bool:
    """Until the update's own answers outweigh the guess: those of others are not its own."""
    return not outweighed(own.known, settings.starting.weight)


def check_is_guess(definition: CheckDefinition, counts: EvidenceCounts) -> bool:
    """Until the check's own counts outweigh its guesses, among the cured and among the others."""
    return not (
        outweighed(counts.cured, definition.yes_if_cured.weight)
        and outweighed(counts.not_cured, definition.yes_if_not.weight)
    )


def grade_is_guess(grades: GradeBelief, settings: AdviceSettings) -> bool:
    """Until the matches of closed concerns outweigh the settings, among the cured and among the others."""
    return not (
        outweighed(sum(grades.cured), settings.grades_weight)
        and outweighed(sum(grades.not_cured), settings.grades_weight)
    )
