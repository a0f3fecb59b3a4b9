"""What failures cost, so that it adds up: each amount once, and with each kind how many have one on file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum

import numpy as np

from kb.nouns.outcomes import FAILURES, Observation, Standing
from kb.outcomes.tally import Ints


class HowFailed(Enum):
    """Where a failure stands to the rates: only those of the first kind are in one."""

    IN_WINDOW = "within the window"
    OTHER_WORK = "after other work in the same visit"
    LATER = "after the window, or after it was updated again"


@dataclass(frozen=True, slots=True)
class Failures:
    """Reflashes that failed so: how many, for how many an amount is on file, and what it comes to in minor
    units.
    """

    count: int = 0
    priced: int = 0
    minor: int = 0

    def plus(self, other: Failures) -> Failures:
        return Failures(self.count + other.count, self.priced + other.priced, self.minor + other.minor)


@dataclass(frozen=True, slots=True)
class FailureCosts:
    """Everything that was recorded, by update and by how it failed: both sums are the same.

    What was not cured at road test, or failed later, is counted here only once it cost something.
    """

    by_update: Mapping[int, int]
    by_kind: Mapping[HowFailed, Failures]

    @property
    def total(self) -> Failures:
        found = Failures()
        for one in self.by_kind.values():
            found = found.plus(one)
        return found


def failure_costs(table: Ints, singles: Iterable[Observation], window_days: int) -> FailureCosts:
    """`table`: rows of the columns that outcomes keep, equal ones together (update, month, kind, day, day
    number, other work, count, cost, how many of them cost something); `singles`: those read one by one.
    """
    updates, of = np.unique(table[:, 0], return_inverse=True)
    costs = np.zeros(updates.size, dtype=np.int64)
    np.add.at(costs, of, table[:, 7])
    by_update: Counter[int] = Counter(dict(zip(updates.tolist(), costs.tolist(), strict=True)))
    by_kind = {how: Failures(*rows.sum(axis=0).tolist()) for how, rows in _kinds(table, window_days).items()}
    for one in singles:
        how = _how(one)
        if how is None:
            continue
        by_update[one.update_id] += one.cost_minor
        by_kind[how] = by_kind[how].plus(Failures(1, int(one.cost_minor > 0), one.cost_minor))
    return FailureCosts({update: cost for update, cost in by_update.items() if cost}, by_kind)


def _kinds(table: Ints, window_days: int) -> dict[HowFailed, Ints]:
    """Rows of each kind, with how many of them failed so put in place of their count."""
    other, priced = table[:, 5] > 0, table[:, 8]
    in_window = np.isin(table[:, 2], FAILURES) & (table[:, 3] <= window_days)
    back = in_window & (table[:, 2] != Standing.FAILED_AT_ROAD_TEST)
    rows = np.column_stack([np.where(back, table[:, 6], priced), priced, table[:, 7]])
    return {
        HowFailed.IN_WINDOW: rows[in_window & ~other],
        HowFailed.OTHER_WORK: rows[other],
        HowFailed.LATER: rows[~in_window & ~other],
    }


def _how(one: Observation) -> HowFailed | None:
    back = one.standing in FAILURES and one.standing is not Standing.FAILED_AT_ROAD_TEST
    if not back and not one.cost_minor:
        return None
    if one.other_work:
        return HowFailed.OTHER_WORK
    return HowFailed.IN_WINDOW if one.standing in FAILURES else HowFailed.LATER
