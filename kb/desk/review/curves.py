"""How long the cures of one update hold, day by day, as the pages draw it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kb.desk import settings as settings_desk
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.outcomes import counted as counted_desk
from kb.desk.context import Desk, lead_or_owner
from kb.nouns.outcomes import INTERVAL_LEVEL
from kb.outcomes.interval import band
from kb.outcomes.survival import Curve, kaplan_meier
from kb.outcomes.tally import day_counts, updates_of

PARTS = 3
"""The row of numbers at risk has one more."""


@dataclass(frozen=True, slots=True)
class CurveDay:
    """One day on which the curve changes: vehicles still watched, those that failed that day, and the share
    still free of the concern with its interval (0..1).
    """

    day: int
    at_risk: int
    failed: int
    cured: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class UpdateCurve:
    """The curve from day 0 to the window, `level` the level of its interval; no vehicles: no days.

    `watched` is the row of numbers at risk: evenly spaced days with the vehicles still watched on each.
    `shop`: days on which the curve of the whole shop changes, and its share from then on.
    """

    window_days: int
    level: float
    days: tuple[CurveDay, ...]
    watched: tuple[tuple[int, int], ...] = ()
    shop: tuple[tuple[int, float], ...] = ()


@lead_or_owner
def update_curve(desk: Desk, note_id: int, level: float = INTERVAL_LEVEL) -> UpdateCurve:
    """Kaplan-Meier with the beta product band of `kb.outcomes`; other work in the same visit is left out."""
    rule = settings_desk.current(desk).window_rule()
    kept = updates_desk.on_file(desk).kept(note_id)
    counted = counted_desk.count(desk, desk.today, rule).counts
    counts = day_counts(counted, np.array([kept])).pooled()
    curve = kaplan_meier(counts)
    if not curve.at_risk[0]:
        return UpdateCurve(rule.days, level, ())
    low, high = band(counts, level)
    everything = kaplan_meier(day_counts(counted, updates_of(counted)).pooled())
    return UpdateCurve(
        rule.days,
        level,
        tuple(
            CurveDay(
                day,
                int(curve.at_risk[day]),
                int(curve.failed[day]),
                float(curve.survival[day]),
                float(low[day]),
                float(high[day]),
            )
            for day in _changing(curve)
        ),
        watched=tuple((day, int(curve.at_risk[day])) for day in _evenly(rule.days)),
        shop=tuple((day, float(everything.survival[day])) for day in _changing(everything)),
    )


def _changing(curve: Curve) -> list[int]:
    """The first day, those with a failure, and the last."""
    return sorted({0, curve.failed.size - 1, *np.flatnonzero(curve.failed).tolist()})


def _evenly(window_days: int) -> list[int]:
    return sorted({round(window_days * part / PARTS) for part in range(PARTS + 1)})
