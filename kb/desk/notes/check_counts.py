"""What the shop's own concerns say of a check: counts beside its guesses, what using them would change, which
checks decide anything, and the limit that would fit the values measured.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from kb.advice.chances.evidence import check_belief
from kb.advice.checks.counts_used import CountsAsGuess, belief_with, counts_as_guess, few_said
from kb.advice.checks.deciding import Decides, first_step, on_case, tally
from kb.advice.checks.fitting_limit import fitting_limit, limit_sentence, values_of
from kb.desk.bay.advice import checks_on_file, learning
from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.notes import checks as checks_desk
from kb.desk.notes.check_cases import cases
from kb.errors import BadInput
from kb.nouns.advice import CheckDefinition, EvidenceCounts
from kb.nouns.checks import CheckView


@dataclass(frozen=True, slots=True)
class Believed:
    """Of 10 cured and of 10 not cured, how many are believed to say yes, guess and counts together."""

    yes_in_10_cured: float
    yes_in_10_not: float


@dataclass(frozen=True, slots=True)
class WhatItWouldChange:
    """The guess from the counts, what is believed then, and on how many of the `tried` concerns the advice
    begins with another verdict, or with another step of the same one.
    """

    guess: CountsAsGuess
    believed: Believed
    tried: int
    verdicts: int
    steps: int


@dataclass(frozen=True, slots=True)
class CountsOfCheck:
    """The shop's closed concerns behind a check. `if_used` is None where too few counted: `few` says so.

    `limit` says of one with a unit which limit would fit the values measured here.
    """

    check: CheckView
    counts: EvidenceCounts
    believed: Believed
    if_used: WhatItWouldChange | None
    few: str
    limit: str


@anyone_in_the_shop
def counts_of_checks(desk: Desk) -> dict[str, EvidenceCounts]:
    """The closed concerns counted for each check, by key."""
    learned = learning.learned(desk)
    return {key: one.counts for key, one in learned.checks.items()}


@anyone_in_the_shop
def counts_of_check(desk: Desk, check_id: int) -> CountsOfCheck:
    """What the concerns say of one check, and what using that as its guess would change. Raises NotFound."""
    check = checks_desk.read_check(desk, check_id)
    definition = check.definition(desk.shop.currency)
    counts = counts_of_checks(desk).get(check.key, EvidenceCounts())
    guess, now = counts_as_guess(counts), check_belief(definition, counts)
    return CountsOfCheck(
        check,
        counts,
        Believed(10 * now.yes_if_cured.mean, 10 * now.yes_if_not.mean),
        _what_it_would_change(desk, definition, guess, counts) if guess else None,
        few_said(counts),
        _limit(desk, check),
    )


@lead_or_owner
def use_counts(desk: Desk, check_id: int, version: int) -> CheckView:
    """The counts become the check's guess, at the weight of one vehicle. BadInput where too few counted."""
    check = checks_desk.read_check(desk, check_id)
    counts = counts_of_checks(desk).get(check.key, EvidenceCounts())
    guess = counts_as_guess(counts)
    if guess is None:
        raise BadInput(few_said(counts))
    source = (
        f"the shop's own counts on {desk.today.isoformat()}: yes on {counts.yes_if_cured} of {counts.cured} "
        f"that an update cured, on {counts.yes_if_not} of {counts.not_cured} that it did not"
    )
    content = replace(
        check.content,
        yes_in_10_cured=guess.yes_in_10_cured,
        yes_in_10_not=guess.yes_in_10_not,
        weight=guess.weight,
        source_line=source,
    )
    return checks_desk.change_check(desk, check_id, version, content)


@anyone_in_the_shop
def which_decide(desk: Desk) -> tuple[Decides, ...]:
    """Every check that is offered, by how often it decided anything on the last concerns."""
    keys = [check.key for check in checks_on_file.list_checks(desk)]
    return tally((on_case(case) for case in cases(desk)), keys)


def _what_it_would_change(
    desk: Desk, definition: CheckDefinition, guess: CountsAsGuess, counts: EvidenceCounts
) -> WhatItWouldChange:
    tried = verdicts = steps = 0
    for case in cases(desk):
        tried += 1
        held = case.learned.checks.get(definition.key)
        if held is None or not any(one.definition.key == definition.key for one in case.concern.checks):
            continue
        after = belief_with(definition, guess, held.counts)
        (verdict, step), then = first_step(case), first_step(case.believing(definition.key, after))
        verdicts += then[0] is not verdict
        steps += then[0] is verdict and then[1] != step
    believed = belief_with(definition, guess, counts)
    means = Believed(10 * believed.yes_if_cured.mean, 10 * believed.yes_if_not.mean)
    return WhatItWouldChange(guess, means, tried, verdicts, steps)


def _limit(desk: Desk, check: CheckView) -> str:
    measure = check.content.measure
    if measure is None:
        return ""
    values = values_of(learning.concerns_to_count(desk), check.key, measure.unit)
    return limit_sentence(fitting_limit(values), len(values), measure.unit)
