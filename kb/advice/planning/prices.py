"""What each candidate's reflash costs by the way taken, and the fee that those done here still share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kb.advice.planning import costs
from kb.advice.ways import way_of, ways_of
from kb.advice.ways_said import by_way
from kb.nouns.advice import CandidateInHand, CostLine, CostSettings
from kb.nouns.shop.ways import Way, WayCost


@dataclass(frozen=True, slots=True)
class Prices:
    """By candidate, in their order: what its reflash costs and every way, the one taken first.

    `fee` is paid once, with the first reflash here. Where some are done here and some are not it stands in
    the costs of those done here, so that two of those would pay it twice: rare, and never too cheap.
    """

    reflash: tuple[CostLine, ...]
    ways: tuple[tuple[WayCost, ...], ...]
    fee: CostLine


def prices_of(
    candidates: Sequence[CandidateInHand], settings: CostSettings, free_because: str = ""
) -> Prices:
    ways = tuple(ways_of(one, settings, free_because) for one in candidates)
    away = [way_of(some) is not Way.HERE for some in ways]
    fee = costs.subscription(settings)
    own = [fee] if any(away) else []
    lines = tuple(
        _away_line(one, some[0]) if out else _with(costs.reflash(one, settings), own)
        for one, some, out in zip(candidates, ways, away, strict=True)
    )
    return Prices(lines, ways, costs.split(fee.label, 0.0, 1.0) if own else fee)


def _with(line: CostLine, more: Sequence[CostLine]) -> CostLine:
    return costs.added(line.label, (line, *more)) if more else line


def _away_line(candidate: CandidateInHand, one: WayCost) -> CostLine:
    return CostLine(by_way(candidate.name, one.way), one.total, one.customer, one.shop)
