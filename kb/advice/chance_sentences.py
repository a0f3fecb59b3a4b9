"""Chances, guesses and what they start from, in words a technician reads; the verdict: verdict.py."""

from __future__ import annotations

from collections.abc import Sequence

from kb.advice.chances.starting_chance import StartTerms
from kb.nouns.advice import (
    AdviceSettings,
    CheckDefinition,
    EvidenceCounts,
    Guess,
    NearNote,
    Zones,
)
from kb.nouns.chance_words import IN_PART, about_in_ten, edges_said, of_hundred, record_said

GUESSES = "No outcomes counted yet: these are guesses."
MOSTLY_GUESSES = "Few outcomes of this update are counted yet: still mostly guesses."
SETTINGS = "the shop's settings"


def chance_sentence(
    chance: float,
    interval: tuple[float, float],
    zones: Zones,
    *,
    settled: bool,
    guess: str,
    ids_known: bool = True,
) -> str:
    """Chance, its 90 % interval and the edges beside it, those of the strip.

    Says so where something must be `settled` before the plan counts; `guess` comes last. Without
    IDs nobody here can say what would be installed, so no edge either.
    """
    said, edges = about_in_ten(chance, interval), edges_said(chance, zones)
    edges = edges if settled else f"once that is settled: {edges}"
    head = f"{said[0].upper()}{said[1:]} that this update cures it"
    sentence = f"{head}; {edges}." if ids_known else f"{head}."
    return f"{sentence} {guess}" if guess else sentence


def nothing_about(near: Sequence[NearNote], *, wrong_year: bool = False) -> str:
    """What to say where no update is about the concern: another note is, or nothing on file.

    `wrong_year`: a note is, and its years leave the vehicle out.
    """
    about = [one for one in near if one.about]
    if about:
        return f"no update on file is about this; read {about[0].name}"
    if wrong_year:
        return "what is on file about this is not for this model year"
    return "nothing on file is about this"


def guess_of_check(check: CheckDefinition) -> str:
    """Such as "2 of 10 cured, 6 of 10 not; weight 8, by the lead"."""
    return _two_sided(check.yes_if_cured, check.yes_if_not)


def guess_of_start(settings: AdviceSettings, shop: EvidenceCounts | None = None) -> str:
    """Where an update starts that has no counts of its own, by the setting or what all have in common.

    `shop` are the counts of all updates; once they outweigh the setting, the start is theirs.
    """
    start = settings.starting
    if shop is not None and shop.total > start.weight:
        return f"as the shop's updates in general: {record_said(shop.cured, shop.not_cured)}"
    if start.author:
        return f"starts at {start.k:g} in 10: {start.author}; weight {start.weight:g}"
    return f"{start.k:g} of 10; weight {start.weight:g}, by {SETTINGS}"


def start_said(terms: StartTerms) -> str:
    """How a start comes about, in the order in which its terms add up."""
    worth = max(1, round(terms.worth))
    said = [f"updates here in general {of_hundred(terms.in_general)}, worth {_vehicles(worth)}"]
    if terms.cured + terms.not_cured:
        own = f"{terms.cured:,.3g} cured and {terms.not_cured:,.3g} not"
        said.append(f"with its own {own}: {of_hundred(terms.by_answers)}")
    if terms.silent:
        more = f"{_vehicles(terms.silent)} {IN_PART}"
        said.append(f"with {more}: {of_hundred(terms.start)}")
    return "; ".join(said)


def _vehicles(number: int) -> str:
    return f"{number:,} vehicle{'s' * (number != 1)}"


def guess_of_grade(settings: AdviceSettings, start: tuple[Sequence[float], Sequence[float]], at: int) -> str:
    """Of one grade (strong 0, partial 1, weak 2), from where those of cured and of not cured `start`."""
    up, down = (Guess(10 * side[at] / sum(side), settings.grades_weight) for side in start)
    by_setting = settings.grades_if_cured[at] / sum(settings.grades_if_cured)
    moved = abs(up.k - 10 * by_setting) >= 0.05
    return _two_sided(up, down) + (", moved to how usual such a match is here" if moved else "")


def _two_sided(cured: Guess, other: Guess) -> str:
    weight = f"{cured.weight:g}" if cured.weight == other.weight else f"{cured.weight:g} and {other.weight:g}"
    return (
        f"{cured.k:.3g} of 10 cured, {other.k:.3g} of 10 not; weight {weight}, by {cured.author or SETTINGS}"
    )
