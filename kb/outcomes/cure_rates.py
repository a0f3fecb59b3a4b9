"""Cure rates of all updates as counted, and the same were silence fine."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kb.nouns.outcomes import Standing
from kb.outcomes.interval import beta_product
from kb.outcomes.survival import kaplan_meier
from kb.outcomes.tally import DayCounts, Floats, Ints, Tally, day_counts, not_known_open, standings


@dataclass(frozen=True, slots=True)
class CureRates:
    """One position per update; where `in_rate` is 0 the rates are 1 with interval 0..1.

    `cure_rate` is the Kaplan-Meier share at the window, `lower` and `upper` its beta product interval.
    `rate_if_silence_is_fine` is the same share if every vehicle not heard of were free of the concern until
    its window's end or the day of the report.
    """

    in_rate: Ints
    cure_rate: Floats
    lower: Floats
    upper: Floats
    rate_if_silence_is_fine: Floats


@dataclass(frozen=True, slots=True)
class StandingCounts:
    """Reflashes per update, as the row of the report names them."""

    tried: Ints
    failed_at_road_test: Ints
    comebacks: Ints
    in_window: Ints
    overdue: Ints
    followed_to_window: Ints
    cured_with_other_work: Ints


def cure_rates(known: DayCounts, silent: DayCounts, level: float) -> CureRates:
    """Rates of every group from its counts as known and with silence taken as fine."""
    lower, upper = beta_product(known, level)
    in_rate = (known.failed + known.free).sum(axis=-1).astype(np.int64)
    return CureRates(in_rate, kaplan_meier(known).at_window, lower, upper, kaplan_meier(silent).at_window)


def both_readings(counts: Tally, updates: Ints) -> tuple[DayCounts, DayCounts]:
    """The day counts as known, and with silence taken as fine."""
    return day_counts(counts, updates), day_counts(counts, updates, silence_is_fine=True)


def standing_counts(counts: Tally, updates: Ints) -> StandingCounts:
    """How many reflashes of each update stand where.

    A vehicle whose road test could not say and that nobody saw since waits or is overdue like any silent one.
    Cured with other work: free of the concern to the window after a visit with other work.
    """
    by_standing = standings(counts, updates)
    open_unknown = not_known_open(counts, updates)
    closed_unknown = by_standing[:, Standing.NOT_KNOWN] - open_unknown
    return StandingCounts(
        tried=by_standing.sum(axis=1),
        failed_at_road_test=by_standing[:, Standing.FAILED_AT_ROAD_TEST],
        comebacks=by_standing[:, Standing.COMEBACK] + by_standing[:, Standing.OTHER_CAUSE],
        in_window=by_standing[:, Standing.IN_WINDOW] + open_unknown,
        overdue=by_standing[:, Standing.OVERDUE] + closed_unknown,
        followed_to_window=by_standing[:, Standing.FOLLOWED_TO_WINDOW],
        cured_with_other_work=standings(counts, updates, other_work=True)[:, Standing.FOLLOWED_TO_WINDOW],
    )
