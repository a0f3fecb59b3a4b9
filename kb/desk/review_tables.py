"""The tables behind the pictures of the review: the funnel, the months, and the vehicles of one update."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from sqlmodel import col

from kb.desk import observed as observed_desk
from kb.desk import reports
from kb.desk import updates as updates_desk
from kb.desk.concern_lines import concern_lines
from kb.desk.context import Desk, lead_or_owner
from kb.desk.reports import ReportFilter
from kb.desk.update_names import counted_names
from kb.desk.views import ConcernLine
from kb.nouns.outcomes import Observation, Standing
from kb.outcomes.funnel import funnel
from kb.outcomes.rates import standing_counts
from kb.outcomes.shrinkage import cannot_tell_yet
from kb.outcomes.silence import silent_counts
from kb.outcomes.survival import Curve, chance_from_here, kaplan_meier
from kb.outcomes.tally import day_counts, standings, updates_of
from kb.records.store import outcome_counts as count_store
from kb.records.tables import Outcome

MOST_VEHICLES = 500


@dataclass(frozen=True, slots=True)
class FunnelPoint:
    """One update against the shop: vehicles that count in full, its rate, and where luck alone would put it.

    `flagged` only outside the 99.8 % limits.
    """

    update: int
    number: str
    title: str
    vehicles: int
    rate: float
    low: float
    high: float
    flagged: bool


@dataclass(frozen=True, slots=True)
class FunnelTable:
    """`target` is the cure rate of the whole shop at the window, whatever make or module is asked for; `told`
    only once ten of its vehicles were followed to it.
    """

    target: float
    points: tuple[FunnelPoint, ...]
    told: bool


@dataclass(frozen=True, slots=True)
class MonthRow:
    """Reflashes of one month and what came of them; `other_work` ones are apart."""

    month: date
    reflashes: int
    cured: int
    not_cured: int
    waiting: int
    not_asked: int
    ended: int
    other_work: int


@dataclass(frozen=True, slots=True)
class VehicleLine:
    """One reflash of an update: the concern, how it stands, and real days to the failure or last sighting.

    `day_known`: not where nobody knows since when it failed. `stays_fine`: for one whose window is open, the
    chance that it stays free of the concern to its end.
    """

    concern: ConcernLine
    reflashed_on: date
    standing: Standing
    days: int
    other_work: bool
    reason: str
    cost_minor: int
    stays_fine: float | None
    day_known: bool


@lead_or_owner
def funnel_table(desk: Desk, asked: ReportFilter) -> FunnelTable:
    """Every update with a vehicle, the most vehicles first; reflashes of no named update are left out."""
    counts = reports.counts_of(desk, asked).counts
    ids = updates_of(counts)
    ids = ids[ids != observed_desk.NO_UPDATE]
    if not ids.size:
        return FunnelTable(0.0, (), told=False)
    counted = reports.counts_of(desk, replace(asked, make="", module=""))
    everything, shop = counted.counts, updates_of(counted.counts)
    found = funnel(silent_counts(counts, ids), silent_counts(everything, shop), counted.silence)
    names = counted_names(desk)
    points = [
        FunnelPoint(
            update,
            *names.get(update, ("", "")),
            int(found.vehicles[i]),
            float(found.rate[i]),
            float(found.lower[i]),
            float(found.upper[i]),
            bool(found.flagged[i]),
        )
        for i, update in enumerate(ids.tolist())
        if found.vehicles[i] > 0
    ]
    ordered = tuple(sorted(points, key=lambda point: -point.vehicles))
    return FunnelTable(found.target, ordered, told=not cannot_tell_yet(day_counts(everything, shop)))


@lead_or_owner
def month_table(desk: Desk, asked: ReportFilter) -> tuple[MonthRow, ...]:
    """Oldest first; months without a reflash are left out."""
    counts = reports.counts_of(desk, asked).counts
    months = np.unique(counts.month)
    by_month = replace(counts, update=counts.month)
    stand = standing_counts(by_month, months)
    columns = (
        stand.tried,
        stand.followed_to_window,
        stand.failed_at_road_test + stand.comebacks,
        stand.in_window,
        stand.overdue,
        standings(by_month, months)[:, Standing.ENDED],
        standings(by_month, months, other_work=True).sum(axis=1),
    )
    return tuple(
        MonthRow(date(int(month) // 12, int(month) % 12 + 1, 1), *(int(one) for one in numbers))
        for month, *numbers in zip(months, *columns, strict=True)
    )


@lead_or_owner
def vehicles_of_update(desk: Desk, note_id: int) -> tuple[VehicleLine, ...]:
    """The newest reflashes with the update (or with those merged into it), at most MOST_VEHICLES."""
    ids = updates_desk.on_file(desk).counting_for(note_id)
    newest = count_store.newest_with(desk.session, desk.shop.id, ids, desk.today, MOST_VEHICLES)
    found = observed_desk.gather_chosen(desk, desk.today, col(Outcome.id).in_(newest))
    seen = [one for some in found.values() for one in some]
    seen = sorted(seen, key=lambda one: (one.facts.reflashed_on, one.concern_id), reverse=True)
    lines = concern_lines(desk, sorted({one.concern_id for one in seen}))
    everything = reports.counts_of(desk, ReportFilter()).counts
    shop = day_counts(everything, updates_of(everything)).pooled()
    curve = None if cannot_tell_yet(shop) else kaplan_meier(shop)
    return tuple(
        VehicleLine(
            lines[one.concern_id],
            one.facts.reflashed_on,
            one.observation.standing,
            one.observation.days_after,
            one.observation.other_work,
            one.observation.reason,
            one.cost_minor,
            _stays_fine(curve, one.observation),
            one.observation.day_known,
        )
        for one in seen
    )


def _stays_fine(curve: Curve | None, seen: Observation) -> float | None:
    """By the shop's pooled curve, which there is once ten of its vehicles were followed to the window."""
    if seen.standing is not Standing.IN_WINDOW or curve is None:
        return None
    return chance_from_here(curve, seen.day)
