"""Two updates, or before and after: the difference in cure rate, and the test of the whole curves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from kb.nouns.outcomes import INTERVAL_LEVEL, Interval
from kb.outcomes.interval import beta_product
from kb.outcomes.survival import kaplan_meier, log_rank
from kb.outcomes.tally import DayCounts


@dataclass(frozen=True, slots=True)
class Comparison:
    """First minus second cure rate at the window, its interval, and the log-rank test of the whole curves.

    `more_failed`: failures of the first group beyond those that the log-rank test expects, were both alike.
    `by_silence`: the interval of the difference were the second group's vehicles that wait or were not asked
    all fine, and the same for the first group's.
    """

    difference: float
    interval: Interval
    p_value: float
    more_failed: float
    by_silence: tuple[Interval, Interval]

    @property
    def rates_apart(self) -> int:
        """1 where the first group cures more than luck alone explains, -1 where less, 0 too close to tell."""
        return int(self.interval[0] > 0.0) - int(self.interval[1] < 0.0)

    def curves_apart(self, level: float) -> int:
        """The same by the whole curves, tested at `level`."""
        return -int(np.sign(self.more_failed)) if self.p_value < 1.0 - level else 0


def compare(
    first: DayCounts,
    second: DayCounts,
    level: float = INTERVAL_LEVEL,
    fine: tuple[DayCounts, DayCounts] | None = None,
) -> Comparison:
    """Day counts of shape (W+1,) with the same window; `fine` are both groups with silence taken as fine.

    The interval squares and adds the distances to both rates' ends: Newcombe (1998), Stat. Med. 17:873-890,
    method 10; with other limits than Wilson's: Zou & Donner (2008), Stat. Med. 27:1693-1702.
    """
    one, other = (_rate(each, level) for each in (first, second))
    one_fine, other_fine = (_rate(each, level) for each in fine or (first, second))
    curves = log_rank(first, second)
    return Comparison(
        one.rate - other.rate,
        _between(one, other),
        curves.p_value,
        float(first.failed.sum()) - curves.expected_first,
        (_between(one, other_fine), _between(one_fine, other)),
    )


class _Rate(NamedTuple):
    rate: float
    low: float
    high: float


def _rate(counts: DayCounts, level: float) -> _Rate:
    low, high = beta_product(counts, level)
    return _Rate(float(kaplan_meier(counts).at_window), float(low), float(high))


def _between(one: _Rate, other: _Rate) -> Interval:
    difference = one.rate - other.rate
    down = np.hypot(one.rate - one.low, other.high - other.rate)
    up = np.hypot(one.high - one.rate, other.rate - other.low)
    return max(-1.0, float(difference - down)), min(1.0, float(difference + up))
