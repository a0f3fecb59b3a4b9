"""Two updates, or before and after: the difference in cure rate, and the test of the whole curves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kb.nouns.outcomes import Interval
from kb.outcomes.interval import beta_product
from kb.outcomes.survival import kaplan_meier, log_rank
from kb.outcomes.tally import DayCounts


@dataclass(frozen=True, slots=True)
class Comparison:
    """First minus second cure rate at the window, its interval, and the log-rank test of the whole curves.

    `more_failed`: failures of the first group beyond those that the log-rank test expects, were both alike.
    `by_silence`: where the difference would lie were only the second group's vehicles not heard of all fine,
    and only the first group's.
    """

    difference: float
    interval: Interval
    p_value: float
    more_failed: float
    by_silence: Interval


def compare(
    first: DayCounts,
    second: DayCounts,
    level: float = 0.9,
    fine: tuple[DayCounts, DayCounts] | None = None,
) -> Comparison:
    """Day counts of shape (W+1,) with the same window; `fine` are both groups with silence taken as fine.

    The interval squares and adds the distances to both rates' ends: Newcombe (1998), Stat. Med. 17:873-890,
    method 10; with other limits than Wilson's: Zou & Donner (2008), Stat. Med. 27:1693-1702.
    """
    rates = [float(kaplan_meier(each).at_window) for each in (first, second)]
    (low1, high1), (low2, high2) = (_ends(each, level) for each in (first, second))
    difference = rates[0] - rates[1]
    down = np.hypot(rates[0] - low1, high2 - rates[1])
    up = np.hypot(high1 - rates[0], rates[1] - low2)
    interval = (max(-1.0, float(difference - down)), min(1.0, float(difference + up)))
    curves = log_rank(first, second)
    more_failed = float(first.failed.sum()) - curves.expected_first
    best = [float(kaplan_meier(each).at_window) for each in fine or (first, second)]
    by_silence = (rates[0] - best[1], best[0] - rates[1])
    return Comparison(difference, interval, curves.p_value, more_failed, by_silence)


def _ends(counts: DayCounts, level: float) -> tuple[float, float]:
    low, high = beta_product(counts, level)
    return float(low), float(high)
