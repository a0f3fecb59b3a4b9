"""What one concern costs with the advice followed and under each of two habits, its answer being known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from kb.advice.planning import costs
from kb.advice.planning.prices import prices_of
from kb.nouns.advice import Verdict
from kb.nouns.advice_inputs import ConcernInHand
from kb.nouns.concerns import FindingResult


@dataclass(frozen=True, slots=True)
class Costs:
    """In whole units, by the shop's costs of that day."""

    advice: float
    reflash_first: float
    diagnose_first: float


def costs_of(
    in_hand: ConcernInHand,
    verdict: Verdict,
    advised_from: datetime,
    cured_by: int | None,
    kept: Mapping[int, int],
) -> Costs | None:
    """None where nothing was offered. `kept`: which note a merged one counts as; `cured_by` None: no update.

    Costs count from the first advice on: a check done before it is sunk under the advice and both habits.
    """
    if not in_hand.candidates:
        return None
    priced = prices_of(in_hand.candidates, in_hand.costs, in_hand.free_because)
    lines = zip(in_hand.candidates, priced.reflash, strict=True)
    prices = {kept[one.note_id]: line.total for one, line in lines}
    first = kept[in_hand.candidates[0].note_id]
    fee = priced.fee.total
    diagnosis, rework = costs.diagnosis(in_hand.costs).total, costs.rework(in_hand.costs).total
    cure = prices[cured_by] + fee if cured_by in prices else 0.0
    diagnose_first = diagnosis + cure
    reflash_first = prices[first] + fee
    if cured_by != first:
        reflash_first += rework + diagnosis + (cure - fee if cure else 0.0)
    checks = sum(
        costs.check(one.definition, in_hand.costs).total
        for one in in_hand.checks
        if one.result is not FindingResult.NOT_DONE and _since(one.recorded_at, advised_from)
    )
    as_advised = reflash_first if verdict is Verdict.REFLASH else diagnose_first
    return Costs(checks + as_advised, reflash_first, diagnose_first)


def _since(recorded_at: datetime | None, moment: datetime) -> bool:
    return recorded_at is not None and recorded_at > moment
