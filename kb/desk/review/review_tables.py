"""The tables behind the pictures of the review: the funnel, the months, and the vehicles of one update."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from sqlmodel import col

from kb.desk import settings as settings_desk
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.concern.concern_lines import concern_lines
from kb.desk.bay.outcomes import observed as observed_desk
from kb.desk.context import Desk, lead_or_owner
from kb.desk.review import reports
from kb.desk.review.reports import ReportFilter
from kb.nouns.bay.concern_file import ConcernLine
from kb.nouns.copying import copied
from kb.nouns.outcomes import NO_UPDATE, Interval, Observation, Standing
from kb.nouns.review.alarms import Apart, Place
from kb.nouns.review.reflash_report import ReportRow
from kb.outcomes.alarms.funnel import luck
from kb.outcomes.counts_as import counts_as
from kb.outcomes.cure_rates import both_readings, cure_rates, standing_counts
from kb.outcomes.shrinkage import cannot_tell_yet
from kb.outcomes.survival import Curve, chance_from_here, kaplan_meier
from kb.outcomes.tally import day_counts, standings, updates_of
from kb.records.store.outcomes import outcome_counts as count_store
from kb.records.tables import Outcome

MOST_VEHICLES = 500
LIMITS = 100
"""Numbers of vehicles at which the limits of luck are worked out: each up to this one, then as many again."""
MAY_WAIT = 0.1
"""Share of a quarter's reflashes that may still wait when its rate is told: failures are heard of first."""


@dataclass(frozen=True, slots=True)
class FunnelPoint:
    """One update against the shop: how many of its vehicles are `known`, its rate as in the report's row, and
    where luck alone would put it.

    `flagged` only outside the 99.8 % limits; never where it is `too_early`. `alarm`: one stands unanswered.
    """

    update: int
    number: str
    title: str
    known: int
    rate: float
    low: float
    high: float
    flagged: bool
    too_early: bool
    alarm: bool


@dataclass(frozen=True, slots=True)
class FunnelTable:
    """`target` is the cure rate of the whole shop at the window, whatever make or module is asked for; `told`
    only once ten of its vehicles were followed to it. `limits`: how far luck alone goes, by number
    of vehicles.
    """

    target: float
    points: tuple[FunnelPoint, ...]
    limits: tuple[tuple[int, float, float], ...]
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

    @property
    def unknown(self) -> int:
        """Those of which it is not known whether they are cured."""
        return self.waiting + self.not_asked + self.ended


@dataclass(frozen=True, slots=True)
class QuarterRow:
    """Reflashes of three months: how many answers are known and how many wait, and the share cured with its
    interval, as a row of the report has them. `rate` is None while nothing is known or too many wait.
    """

    first: date
    known: int
    waiting: int
    rate: float | None
    interval: Interval

    @property
    def words(self) -> str:
        return f"{self.first:%b} to {self.first.replace(month=self.first.month + 2):%b %Y}"


@dataclass(frozen=True, slots=True)
class VehicleLine:
    """One reflash of an update: the concern, how it stands, and real days to the failure or last sighting.

    `day_known`: not where nobody knows since when it failed. `stays_fine`: for one whose window is open, the
    chance that it stays free of the concern to its end, `by_shop` where that is the whole shop's curve: too
    few vehicles of this update were followed.
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
    counted: str
    by_shop: bool


@lead_or_owner
def funnel_table(desk: Desk, asked: ReportFilter) -> FunnelTable:
    """Every update with a known answer, the most first; reflashes of no named update are left out."""
    named = reports.reflash_report(desk, asked)
    target = named.report.shop.cure_rate
    rows = sorted(named.report.rows, key=lambda row: -row.known)
    rows = [row for row in rows if row.update and row.known and row.cure_rate is not None]
    if target is None or not rows:
        return FunnelTable(0.0, (), (), told=False)
    limits = _limits(target, rows[0].known)
    points = tuple(_point(row, named.names) for row in rows)
    return FunnelTable(target, points, limits, told=not named.report.cannot_tell_yet)


def _point(row: ReportRow, names: Mapping[int, tuple[str, str]]) -> FunnelPoint:
    place = row.place or Place(0.0, 1.0, Apart.CLOSE)
    update = row.update or NO_UPDATE
    return FunnelPoint(
        update,
        *names.get(update, ("", row.title)),
        row.known,
        row.cure_rate or 0.0,
        place.low,
        place.high,
        place.apart is not Apart.CLOSE,
        row.too_early,
        bool(row.alarms),
    )


def _limits(target: float, most: int) -> tuple[tuple[int, float, float], ...]:
    few = np.arange(1, min(most, LIMITS) + 1)
    vehicles = np.union1d(few, np.geomspace(1, most, LIMITS).round().astype(np.int64))
    lower, upper = luck(target, vehicles)
    return tuple(zip(vehicles.tolist(), lower.tolist(), upper.tolist(), strict=True))


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
def quarter_table(desk: Desk, asked: ReportFilter) -> tuple[QuarterRow, ...]:
    """Oldest first; quarters of the calendar without a reflash are left out."""
    counts = reports.counts_of(desk, asked).counts
    quarter = counts.month // 3
    quarters, by_quarter = np.unique(quarter), replace(counts, update=quarter)
    stand = standing_counts(by_quarter, quarters)
    known = stand.followed_to_window + stand.failed_at_road_test + stand.comebacks
    settled = (known > 0) & (stand.in_window <= MAY_WAIT * stand.tried)
    rates = cure_rates(*both_readings(by_quarter, quarters), asked.level)
    return tuple(
        QuarterRow(
            date(int(one) // 4, int(one) % 4 * 3 + 1, 1),
            int(known[i]),
            int(stand.in_window[i]),
            float(rates.cure_rate[i]) if settled[i] else None,
            (float(rates.lower[i]), float(rates.upper[i])),
        )
        for i, one in enumerate(quarters)
    )


@lead_or_owner
def vehicles_of_update(desk: Desk, note_id: int) -> tuple[VehicleLine, ...]:
    """The newest reflashes with the update (or with those merged into it), at most MOST_VEHICLES."""
    ids = updates_desk.on_file(desk).counting_for(note_id)
    newest = count_store.newest_with(desk.session, desk.shop.id, ids, desk.today, MOST_VEHICLES)
    found = observed_desk.gather_chosen(desk, desk.today, col(Outcome.id).in_(newest))
    seen = [one for some in found.values() for one in some]
    seen = sorted(seen, key=lambda one: (one.reflashed_on, one.reflash.concern_id), reverse=True)
    rule = settings_desk.current(desk).window_rule()
    lines = concern_lines(desk, sorted({one.reflash.concern_id for one in seen}))
    everything = reports.counts_of(desk, ReportFilter()).counts
    own = day_counts(everything, np.array([updates_desk.on_file(desk).kept(note_id)])).pooled()
    shop = day_counts(everything, updates_of(everything)).pooled()
    told = next((one for one in (own, shop) if not cannot_tell_yet(one)), None)
    curve = None if told is None else kaplan_meier(told)
    return tuple(
        copied(
            VehicleLine,
            one,
            concern=lines[one.reflash.concern_id],
            days=one.days_after,
            stays_fine=_stays_fine(curve, one),
            counted=counts_as(one, rule, desk.today),
            by_shop=told is shop,
        )
        for one in seen
    )


def _stays_fine(curve: Curve | None, seen: Observation) -> float | None:
    """By a curve, which there is once ten of its vehicles were followed to the window."""
    if seen.standing is not Standing.IN_WINDOW or curve is None:
        return None
    return chance_from_here(curve, seen.day)
