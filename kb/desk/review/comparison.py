"""Two groups of reflashes side by side: two updates, or one before and after a day such as a lesson's."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from sqlalchemy import ColumnElement
from sqlmodel import col

from kb.desk import settings as settings_desk
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.outcomes import observed as observed_desk
from kb.desk.context import Desk, lead_or_owner
from kb.desk.review import reports
from kb.errors import BadInput
from kb.nouns.outcomes import FAILURES, INTERVAL_LEVEL, Observation, Standing, WindowRule
from kb.nouns.review.alarms import Alarm
from kb.outcomes.comparison import Comparison, compare
from kb.outcomes.conclusion import FEW, Answers, Conclusion, conclude, warnings
from kb.outcomes.cure_rates import both_readings, standing_counts
from kb.outcomes.interval import beta_product
from kb.outcomes.survival import kaplan_meier
from kb.outcomes.tally import DayCounts, Tally, standings, tally, updates_of
from kb.outcomes.window import own_window
from kb.records.tables import Outcome


@dataclass(frozen=True, slots=True)
class Group:
    """Reflashes with one update (None: any) done within the days, inclusive."""

    update: int | None = None
    since: date | None = None
    until: date | None = None


@dataclass(frozen=True, slots=True)
class GroupRate:
    """How a group stands, the day of its oldest reflash that tells anything, and its cure rate at the window.

    No rate and no interval where it is too early: nobody could have reached the window's end.
    """

    answers: Answers
    oldest: date
    cure_rate: float | None
    interval: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class Compared:
    """Both groups, the first less the second (None where it is too early), and what they bear together.

    `needed`: known answers in each group before anything is concluded. `warnings` are of the difference:
    there are none where it is too early. `alarms`: those of the updates compared that stand in
    the review, with what the update is called; no conclusion leaves them out.
    """

    window_days: int
    level: float
    needed: int
    first: GroupRate
    second: GroupRate
    comparison: Comparison | None
    conclusion: Conclusion
    warnings: tuple[str, ...]
    alarms: tuple[tuple[str, Alarm], ...]


@dataclass(frozen=True, slots=True)
class _Gathered:
    """A group as the statistics take it, also with silence taken as fine; `telling` make up its rate."""

    answers: Answers
    counts: DayCounts
    fine: DayCounts
    telling: Sequence[Observation]


@lead_or_owner
def compare_groups(desk: Desk, first: Group, second: Group) -> Compared:
    """Raises BadInput where a group holds no vehicle that tells anything."""
    rule = settings_desk.current(desk).window_rule()
    one, other = (_gathered(desk, group, rule) for group in (first, second))
    if not one.telling or not other.telling:
        empty = "second" if one.telling else "first"
        raise BadInput(
            f"The {empty} group holds no vehicle that tells anything.", fields={empty: "no vehicle"}
        )
    early = one.answers.too_early or other.answers.too_early
    found = None if early else compare(one.counts, other.counts, INTERVAL_LEVEL, (one.fine, other.fine))
    names = ("make", "module", "mileage", *(("update",) if first.update == second.update else ()))
    mixes = {name: (_mix(one.telling, name), _mix(other.telling, name)) for name in names}
    return Compared(
        rule.days,
        INTERVAL_LEVEL,
        FEW,
        _rate(one),
        _rate(other),
        found,
        conclude(found, one.answers, other.answers, INTERVAL_LEVEL),
        () if found is None else warnings(one.answers, other.answers, mixes),
        _alarms(desk, {first.update, second.update}),
    )


def _alarms(desk: Desk, updates: Collection[int | None]) -> tuple[tuple[str, Alarm], ...]:
    report = reports.reflash_report(desk, reports.ReportFilter()).report
    return tuple((row.called, alarm) for row, alarm in report.alarms if row.update in updates)


def _gathered(desk: Desk, group: Group, rule: WindowRule) -> _Gathered:
    members = _members(desk, group)
    seen = tally(members, rule.days)
    as_one = replace(seen, update=np.zeros_like(seen.update))
    known, fine = both_readings(as_one, updates_of(as_one))
    return _Gathered(
        _answers(members, as_one, rule, desk.today),
        known.pooled(),
        fine.pooled(),
        [one for one in members if one.is_told_of],
    )


def _members(desk: Desk, group: Group) -> list[Observation]:
    chosen: list[ColumnElement[bool]] = []
    if group.update is not None:
        ids = updates_desk.on_file(desk).counting_for(group.update)
        chosen.append(col(Outcome.update_id).in_(ids))
    if group.since is not None:
        chosen.append(col(Outcome.reflashed_on) >= group.since)
    if group.until is not None:
        chosen.append(col(Outcome.reflashed_on) <= group.until)
    found = observed_desk.gather_chosen(desk, desk.today, *chosen)
    return [one for some in found.values() for one in some]


def _answers(members: Sequence[Observation], counts: Tally, rule: WindowRule, today: date) -> Answers:
    stand = standing_counts(counts, updates_of(counts))
    ended = int(standings(counts, updates_of(counts))[:, Standing.ENDED].sum())
    due = [one.standing for one in members if _is_due(one, rule, today)]
    return Answers(
        int(stand.followed_to_window.sum()),
        int((stand.failed_at_road_test + stand.comebacks).sum()),
        int(stand.in_window.sum()),
        int(stand.overdue.sum()),
        ended,
        len(due),
        sum(one in (*FAILURES, Standing.FOLLOWED_TO_WINDOW) for one in due),
    )


def _is_due(one: Observation, rule: WindowRule, today: date) -> bool:
    """Whether this vehicle is past its own window, and its count did not end before."""
    if one.other_work or one.standing is Standing.ENDED:
        return False
    return (today - one.reflashed_on).days >= own_window(rule, one.reflash.usual_gap_days).days


def _rate(group: _Gathered) -> GroupRate:
    oldest = min(one.reflashed_on for one in group.telling)
    if group.answers.too_early:
        return GroupRate(group.answers, oldest, None, None)
    low, high = beta_product(group.counts, INTERVAL_LEVEL)
    rate = float(kaplan_meier(group.counts).at_window)
    return GroupRate(group.answers, oldest, rate, (float(low), float(high)))


def _mix(members: Sequence[Observation], name: str) -> Counter[str]:
    """How the vehicles spread over makes, modules, updates, or steps of 50,000 miles."""
    if name == "mileage":
        return Counter(
            str(one.reflash.odometer // 50_000) for one in members if one.reflash.odometer is not None
        )
    if name == "update":
        return Counter(str(one.update_id) for one in members)
    return Counter(
        one.reflash.make.casefold() if name == "make" else one.reflash.module.casefold() for one in members
    )
