"""Everything that one piece of advice rests on, small enough to keep, and the same advice from it again.

The grid that all updates have in common is not kept: it follows from their records, number for number.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from kb.advice.advise import advise
from kb.advice.belief import UpdateRecord, common_belief
from kb.advice.evidence import CheckBelief, GradeBelief
from kb.advice.learn import Learned
from kb.advice.tempering import Tempering
from kb.nouns.advice import Advice, AdviceSettings, ConcernInHand


@dataclass(frozen=True, slots=True)
class FrozenInputs:
    """The concern, the settings, and the beliefs of that moment (of the checks in hand only)."""

    concern: ConcernInHand
    settings: AdviceSettings
    revision: int
    closed: int
    records: Mapping[int, UpdateRecord]
    carried: Mapping[int, UpdateRecord]
    checks: Mapping[str, CheckBelief]
    grades: GradeBelief
    tempering: Tempering
    alike: tuple[tuple[str, str], ...]
    lead_notices: tuple[str, ...]


def freeze(concern: ConcernInHand, learned: Learned, settings: AdviceSettings) -> FrozenInputs:
    keys = {check.definition.key for check in concern.checks}
    return FrozenInputs(
        concern,
        settings,
        learned.revision,
        learned.closed,
        learned.records,
        learned.carried,
        {key: belief for key, belief in learned.checks.items() if key in keys},
        learned.grades,
        learned.tempering,
        tuple(sorted(pair for pair in learned.alike if keys.issuperset(pair))),
        learned.lead_notices,
    )


def replay(frozen: FrozenInputs) -> Advice:
    """The advice of that moment, from its inputs alone."""
    learned = Learned(
        frozen.revision,
        frozen.closed,
        common_belief(frozen.records.values(), frozen.settings),
        frozen.records,
        frozen.carried,
        frozen.checks,
        frozen.grades,
        frozen.tempering,
        frozenset(frozen.alike),
        frozen.lead_notices,
    )
    return advise(frozen.concern, learned, frozen.settings)
