"""Rows of the report on reflashes, from the figures of all updates."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from kb.nouns.review.alarms import Alarm, AlarmKind
from kb.nouns.review.reflash_report import ReportRow
from kb.outcomes.cure_rates import CureRates, StandingCounts, both_readings, cure_rates, standing_counts
from kb.outcomes.shrinkage import CureChances, heard_of
from kb.outcomes.silence import Silence, silent_counts
from kb.outcomes.tally import Tally
from kb.outcomes.updates_in_general import HyperPrior


@dataclass(frozen=True, slots=True)
class AboutUpdates:
    """What the report shows beside the counts, by update id; a missing id has none. `alarms`: as raised.

    `titles` begin with the number. `thresholds`: p* of each update. `comeback_costs`: what its comebacks
    cost, in minor units.
    """

    titles: Mapping[int, str] = field(default_factory=dict)
    numbers: Mapping[int, str] = field(default_factory=dict)
    thresholds: Mapping[int, float] = field(default_factory=dict)
    comeback_costs: Mapping[int, int] = field(default_factory=dict)
    alarms: Mapping[AlarmKind, Mapping[int, Alarm]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Figures:
    """All figures of the updates `ids`, by position."""

    ids: tuple[int, ...]
    standing: StandingCounts
    rates: CureRates
    chances: CureChances


def report_rows(figures: Figures, about: AboutUpdates, level: float) -> tuple[ReportRow, ...]:
    """One row per update, in the order of the figures."""
    mean, (low, high) = figures.chances.mean, figures.chances.interval(level)
    return tuple(
        _row(figures, i, about, float(mean[i]), (float(low[i]), float(high[i])))
        for i in range(len(figures.ids))
    )


def shop_row(
    counts: Tally, about: AboutUpdates, level: float, known: tuple[Silence, HyperPrior]
) -> ReportRow:
    """All these reflashes as if of one update; its comeback cost is the sum over the updates."""
    pooled = replace(counts, update=np.zeros_like(counts.update))
    nobody = np.zeros(1, dtype=np.int64)
    own = silent_counts(pooled, nobody)
    figures = Figures(
        (0,),
        standing_counts(pooled, nobody),
        cure_rates(*both_readings(pooled, nobody), level),
        heard_of(own, own, nobody, *known),
    )
    row = report_rows(figures, AboutUpdates(titles={0: "All reflashes"}), level)[0]
    return replace(row, update=None, comeback_cost=sum(about.comeback_costs.values()))


def _row(
    figures: Figures, i: int, about: AboutUpdates, mean: float, interval: tuple[float, float]
) -> ReportRow:
    update, standing, rates = figures.ids[i], figures.standing, figures.rates
    told = bool(rates.in_rate[i])
    return ReportRow(
        update=update,
        title=about.titles.get(update, ""),
        tried=int(standing.tried[i]),
        failed_at_road_test=int(standing.failed_at_road_test[i]),
        comebacks=int(standing.comebacks[i]),
        in_window=int(standing.in_window[i]),
        overdue=int(standing.overdue[i]),
        followed_to_window=int(standing.followed_to_window[i]),
        cured_with_other_work=int(standing.cured_with_other_work[i]),
        cure_rate=float(rates.cure_rate[i]) if told else None,
        interval=(float(rates.lower[i]), float(rates.upper[i])),
        rate_if_silence_is_fine=float(rates.rate_if_silence_is_fine[i]) if told else None,
        shrunken_rate=mean,
        shrunken_interval=interval,
        comeback_cost=about.comeback_costs.get(update, 0),
        alarm=about.alarms.get(AlarmKind.SHOP, {}).get(update),
        number=about.numbers.get(update, ""),
        worse_than_it_was=about.alarms.get(AlarmKind.PAST, {}).get(update),
    )
