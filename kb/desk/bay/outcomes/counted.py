"""What came of reflashes, as counts: the database groups them, the few it cannot are read one by one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterable
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from kb.desk import settings as settings_desk
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.outcomes.observed import gather_chosen, gather_of
from kb.desk.context import Desk
from kb.nouns.concerns import HowHeard
from kb.nouns.outcomes import NO_UPDATE, Observation, WindowRule
from kb.outcomes.alarms.sightings import Sightings, sightings_by_month, sightings_on_days
from kb.outcomes.money.failure_costs import FailureCosts, failure_costs
from kb.outcomes.silence import Silence, calls_of, silence_of
from kb.outcomes.tally import COLUMNS, Ints, Tally, joined, tally, tally_of_columns
from kb.outcomes.told_unasked import Calls, comebacks_heard
from kb.records.store.bay import how_heard
from kb.records.store.outcomes import outcome_counts as store
from kb.records.store.outcomes.outcome_counts import CountsWanted
from kb.vehicle.families import fold

EXACT_DAYS_TO = 20_000
"""Outcomes of a shop up to which the day of each reflash is kept; beyond, the watch goes by months."""


@dataclass(frozen=True, slots=True)
class Selection:
    """Which reflashes: days inclusive; make and module in any writing, empty for all; None: all updates.

    `way`: who did them, empty for all.
    """

    since: date | None = None
    until: date | None = None
    make: str = ""
    module: str = ""
    updates: tuple[int, ...] | None = None
    way: str = ""


EVERYTHING = Selection()


@dataclass(frozen=True, slots=True)
class Counted:
    """Counts of the chosen reflashes, and everything that their failures cost.

    `start` is the day number from which the days of each group count (of the reflash, save where a longer
    window is laid later), None in a shop with too many of them.
    """

    counts: Tally
    start: Ints | None
    costs: FailureCosts

    def sightings(self, as_of: date) -> dict[int, Sightings]:
        """For the watch, of reflashes whose update is named."""
        named = np.flatnonzero(self.counts.update != NO_UPDATE)
        counts = self.counts.part(named)
        if self.start is None:
            return sightings_by_month(counts, as_of)
        return sightings_on_days(counts, self.start[named], as_of)


@dataclass(frozen=True, slots=True)
class WholeShop(Counted):
    """Counts of all reflashes, and what its calls tell of the silent ones.

    `heard`: of vehicles past their window, comebacks told unasked and found on asking. `lags`: how late
    comebacks were told (kb.outcomes.told_unasked).
    """

    heard: tuple[int, int]
    lags: tuple[tuple[int, int, int], ...]
    calls: Calls
    silence: Silence


def count(desk: Desk, as_of: date, rule: WindowRule | None = None) -> WholeShop:
    """Every installed reflash, as known on `as_of`; remembered until an outcome changes."""
    window = rule or settings_desk.current(desk).window_rule()
    key, revision = _remembered_as(desk, as_of, window, EVERYTHING)
    return desk.memory.recall(key, revision, lambda: _count_shop(desk, as_of, window))


def count_chosen(desk: Desk, as_of: date, rule: WindowRule, chosen: Selection) -> Counted:
    """The same for a part of them; its calls would tell nothing, so nobody asks for them."""
    if chosen == EVERYTHING:
        return count(desk, as_of, rule)
    key, revision = _remembered_as(desk, as_of, rule, chosen)
    return desk.memory.recall(key, revision, lambda: Counted(*_count(desk, as_of, rule, chosen)))


def count_for(desk: Desk, as_of: date, update_ids: Iterable[int]) -> Counted:
    """At least the reflashes of these updates: those of the whole shop only where they are at hand."""
    window = settings_desk.current(desk).window_rule()
    key, revision = _remembered_as(desk, as_of, window, EVERYTHING)
    if desk.memory.revision_of(key) == revision:
        return count(desk, as_of)
    updates = updates_desk.on_file(desk)
    all_of_them = {note for one in update_ids for note in updates.counting_for(one)}
    return count_chosen(desk, as_of, window, Selection(updates=tuple(sorted(all_of_them))))


def _remembered_as(
    desk: Desk, as_of: date, window: WindowRule, chosen: Selection
) -> tuple[Hashable, Hashable]:
    revisions = desk.revisions()
    revision = (
        as_of,
        window,
        chosen,
        revisions["outcomes"],
        updates_desk.on_file(desk),
        revisions["concerns"] if chosen.make else None,
    )
    named = chosen.make or chosen.module or chosen.way
    parts = (chosen.since or chosen.until, named, chosen.updates is not None)
    return ("counted", *map(bool, parts)), revision


def _count_shop(desk: Desk, as_of: date, rule: WindowRule) -> WholeShop:
    counts, start, costs = _count(desk, as_of, rule, EVERYTHING)
    heard, lags = _heard(desk, as_of, rule), _lags(desk, as_of)
    calls = calls_of(counts, *heard, lags)
    return WholeShop(counts, start, costs, heard, lags, calls, silence_of(counts, calls))


def _count(
    desk: Desk, as_of: date, rule: WindowRule, chosen: Selection
) -> tuple[Tally, Ints | None, FailureCosts]:
    by_day = chosen.updates is not None or store.how_many(desk.session, desk.shop.id) <= EXACT_DAYS_TO
    wanted = wanted_of(desk, as_of, rule, chosen)
    rows = store.counted(desk.session, desk.shop.id, wanted, by_day=by_day)
    table = np.array(rows, dtype=np.int64).reshape(-1, COLUMNS + 2)
    table[:, 0] = _kept(desk, table[:, 0])
    grouped = tally_of_columns(table[:, :COLUMNS], rule.days, as_of)
    alone = gather_chosen(desk, as_of, *store.one_by_one(desk.shop.id, wanted), rule=rule)
    singles = [one for some in alone.values() for one in some]
    start = np.concatenate([table[:, 4], _days(singles)]) if by_day else None
    costs = failure_costs(table, singles, rule.days)
    every = joined(grouped, tally(singles, rule.days))
    return every, start, costs


def _heard(desk: Desk, as_of: date, rule: WindowRule) -> tuple[int, int]:
    """Of the whole shop: counted by the database where it is plain, else by the stories of the failures."""
    plainly = how_heard.plainly_heard(desk.session, (desk.shop.id, as_of, rule.days))
    others = gather_of(desk, as_of, how_heard.not_plainly_heard(desk.session, as_of), rule)
    told = comebacks_heard((one for some in others.values() for one in some), as_of, rule.days)
    unasked, asked = (plainly.get(how, 0) + told[how] for how in (HowHeard.UNASKED, HowHeard.ASKED))
    return unasked, asked


def _lags(desk: Desk, as_of: date) -> tuple[tuple[int, int, int], ...]:
    """Days from a comeback to the shop's day on which it was written down, and what they could have been."""
    told = how_heard.comebacks_told(desk.session, desk.shop.id, as_of)
    days = ((day, (desk.shop.day_of(at) - day).days) for day, at in told)
    lags = Counter((max(lag, 0), (as_of - day).days) for day, lag in days if lag <= (as_of - day).days)
    return tuple((lag, most, count) for (lag, most), count in sorted(lags.items()))


def wanted_of(desk: Desk, as_of: date, rule: WindowRule, chosen: Selection) -> CountsWanted:
    """As the store takes it: makes and modules as they are written there."""
    wanted = CountsWanted(
        as_of, rule.days, chosen.since, chosen.until, updates=chosen.updates, way=chosen.way
    )
    if not chosen.make and not chosen.module:
        return wanted
    makes, modules = store.names_in_use(desk.session, desk.shop.id)
    if chosen.make:
        wanted = replace(wanted, makes=tuple(one for one in makes if fold(one) == fold(chosen.make)))
    if chosen.module:
        wanted = replace(wanted, modules=tuple(one for one in modules if fold(one) == fold(chosen.module)))
    return wanted


def _kept(desk: Desk, updates: Ints) -> Ints:
    """The ids of the notes that merged ones count for."""
    kept = updates_desk.on_file(desk).kept
    different, where = np.unique(updates, return_inverse=True)
    return np.array([kept(one) for one in different.tolist()], dtype=np.int64)[where]


def _days(singles: Iterable[Observation]) -> Ints:
    days = [one.reflashed_on.toordinal() + one.shift for one in singles]
    return np.array(days, dtype=np.int64)
