"""Everything that one piece of advice rests on, small enough to keep, and the same advice from it again.

The grids that all updates have in common are not kept: they follow from their records, number for number.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from kb.advice.advise import advise
from kb.advice.chances import starting_chance
from kb.advice.chances.belief import UpdateRecord
from kb.advice.chances.evidence import CheckBelief, GradeBelief
from kb.advice.chances.learn import Learned
from kb.advice.chances.tempering import Tempering
from kb.nouns.advice import Advice, AdviceSettings, ConcernInHand


@dataclass(frozen=True, slots=True)
class FrozenStart:
    """Records, and those carried on, under one value of the share told unasked."""

    records: Mapping[int, UpdateRecord]
    carried: Mapping[int, UpdateRecord]


@dataclass(frozen=True, slots=True)
class FrozenInputs:
    """The concern, the settings, and the beliefs of that moment (of the checks in hand only).

    `records` and `carried` are of the first start, `further` the other ones; advice frozen when that share
    stood at its mean has none.
    """

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
    further: tuple[FrozenStart, ...] = ()


def freeze(concern: ConcernInHand, learned: Learned, settings: AdviceSettings) -> FrozenInputs:
    keys = {check.definition.key for check in concern.checks}
    first, *further = (FrozenStart(one.records, one.carried) for one in learned.starts)
    return FrozenInputs(
        concern,
        settings,
        learned.revision,
        learned.closed,
        first.records,
        first.carried,
        {key: belief for key, belief in learned.checks.items() if key in keys},
        learned.grades,
        learned.tempering,
        tuple(sorted(pair for pair in learned.alike if keys.issuperset(pair))),
        learned.lead_notices,
        tuple(further),
    )


def replay(frozen: FrozenInputs) -> Advice:
    """The advice of that moment, from its inputs alone."""
    first = FrozenStart(frozen.records, frozen.carried)
    learned = Learned(
        frozen.revision,
        frozen.closed,
        tuple(
            starting_chance.start(one.records, one.carried, frozen.settings)
            for one in (first, *frozen.further)
        ),
        frozen.checks,
        frozen.grades,
        frozen.tempering,
        frozenset(frozen.alike),
        frozen.lead_notices,
    )
    return advise(frozen.concern, learned, frozen.settings)
