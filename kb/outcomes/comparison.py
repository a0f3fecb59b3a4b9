"""Two updates, or before and after: the difference in cure rate, and whether the groups are alike."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from kb.nouns.outcomes import Interval
from kb.outcomes.interval import beta_product
from kb.outcomes.survival import kaplan_meier, log_rank
from kb.outcomes.tally import DayCounts

FEW = 10
UNLIKE = 0.2
"""Share of vehicles that would have to change kind to make the groups alike, from which to warn."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """First minus second cure rate at the window, its interval, the log-rank p-value, and warnings.

    What followed the reflash is no proof of what caused it; the warnings say where the groups differ.
    """

    difference: float
    interval: Interval
    p_value: float
    warnings: tuple[str, ...]


def compare(
    first: DayCounts,
    second: DayCounts,
    level: float = 0.9,
    mixes: Mapping[str, tuple[Mapping[str, int], Mapping[str, int]]] | None = None,
) -> Comparison:
    """Day counts of shape (W+1,) with the same window; `mixes`: by name (make, mileage), vehicles per kind.

    The interval squares and adds the distances to both rates' ends: Newcombe (1998), Stat. Med. 17:873-890,
    method 10; with other limits than Wilson's: Zou & Donner (2008), Stat. Med. 27:1693-1702.
    """
    rates = [float(kaplan_meier(each).at_window) for each in (first, second)]
    (low1, high1), (low2, high2) = (_ends(each, level) for each in (first, second))
    difference = rates[0] - rates[1]
    down = np.hypot(rates[0] - low1, high2 - rates[1])
    up = np.hypot(high1 - rates[0], rates[1] - low2)
    interval = (max(-1.0, float(difference - down)), min(1.0, float(difference + up)))
    return Comparison(
        difference, interval, log_rank(first, second).p_value, _warnings(first, second, mixes or {})
    )


def unlikeness(first: Mapping[str, int], second: Mapping[str, int]) -> float:
    """Half the summed distance of the shares per kind: 0 alike, 1 nothing in common; 0 if one is empty."""
    n1, n2 = sum(first.values()), sum(second.values())
    if not n1 or not n2:
        return 0.0
    kinds = first.keys() | second.keys()
    return sum(abs(first.get(kind, 0) / n1 - second.get(kind, 0) / n2) for kind in kinds) / 2.0


def _ends(counts: DayCounts, level: float) -> tuple[float, float]:
    low, high = beta_product(counts, level)
    return float(low), float(high)


def _warnings(
    first: DayCounts,
    second: DayCounts,
    mixes: Mapping[str, tuple[Mapping[str, int], Mapping[str, int]]],
) -> tuple[str, ...]:
    followed = [float(each.free[-1] + each.failed.sum()) for each in (first, second)]
    known = [float((each.free + each.failed).sum()) for each in (first, second)]
    said = []
    if min(followed) < FEW:
        said.append(f"Fewer than {FEW} vehicles of a group have a known answer.")
    if min(known) > 0 and abs(followed[0] / known[0] - followed[1] / known[1]) > UNLIKE:
        said.append("One group was followed up much better than the other.")
    said += [
        f"The groups differ by {name}: the difference may come from that."
        for name, (one, other) in mixes.items()
        if unlikeness(one, other) > UNLIKE
    ]
    return tuple(said)
