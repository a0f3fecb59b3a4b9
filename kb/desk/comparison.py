"""Two groups of reflashes side by side: two updates, or one before and after a day such as a lesson's."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from sqlalchemy import ColumnElement
from sqlmodel import col

from kb.desk import observed as observed_desk
from kb.desk import settings as settings_desk
from kb.desk import updates as updates_desk
from kb.desk.context import Desk, lead_or_owner
from kb.desk.observed import Observed
from kb.errors import BadInput
from kb.nouns.outcomes import Standing
from kb.outcomes.comparison import Comparison, compare
from kb.outcomes.interval import beta_product
from kb.outcomes.survival import kaplan_meier
from kb.outcomes.tally import DayCounts, day_counts, tally
from kb.records.tables import Outcome

LEVEL = 0.9


@dataclass(frozen=True, slots=True)
class Group:
    """Reflashes with one update (None: any) done within the days, inclusive."""

    update: int | None = None
    since: date | None = None
    until: date | None = None


@dataclass(frozen=True, slots=True)
class GroupRate:
    vehicles: int
    cure_rate: float
    interval: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Compared:
    """Both rates at the window, and the first minus the second with its interval and log-rank p-value."""

    window_days: int
    first: GroupRate
    second: GroupRate
    comparison: Comparison


@lead_or_owner
def compare_groups(desk: Desk, first: Group, second: Group) -> Compared:
    """Raises BadInput where a group holds no vehicle that tells anything."""
    rule = settings_desk.current(desk).window_rule()
    groups = [_members(desk, one) for one in (first, second)]
    counts = [_by_day(members, rule.days) for members in groups]
    told = [int((one.failed + one.free).sum()) for one in counts]
    if not all(told):
        raise BadInput(
            "One of the two groups holds no vehicle that tells anything.",
            fields={"first" if not told[0] else "second": "no vehicle"},
        )
    compared = [[one for one in some if _in_the_rate(one)] for some in groups]
    mixes = {
        name: (_mix(compared[0], name), _mix(compared[1], name))
        for name in ("make", "module", "mileage", "update")
    }
    if first.update != second.update:
        mixes.pop("update")
    return Compared(
        rule.days,
        _rate(counts[0], told[0]),
        _rate(counts[1], told[1]),
        compare(counts[0], counts[1], LEVEL, mixes),
    )


def _members(desk: Desk, group: Group) -> list[Observed]:
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


def _by_day(members: Sequence[Observed], window_days: int) -> DayCounts:
    seen = [one.observation for one in members]
    updates = np.unique(np.array([one.update_id for one in seen], dtype=np.int64))
    return day_counts(tally(seen, window_days), updates).pooled()


def _rate(counts: DayCounts, vehicles: int) -> GroupRate:
    low, high = beta_product(counts, LEVEL)
    return GroupRate(vehicles, float(kaplan_meier(counts).at_window), (float(low), float(high)))


def _in_the_rate(one: Observed) -> bool:
    return not one.observation.other_work and one.observation.standing is not Standing.NOT_KNOWN


def _mix(members: Sequence[Observed], name: str) -> Counter[str]:
    """How the vehicles spread over makes, modules, updates, or steps of 50,000 miles."""
    if name == "mileage":
        return Counter(str(one.facts.odometer // 50_000) for one in members if one.facts.odometer is not None)
    if name == "update":
        return Counter(str(one.facts.update_id) for one in members)
    return Counter(one.make.casefold() if name == "make" else one.module.casefold() for one in members)
