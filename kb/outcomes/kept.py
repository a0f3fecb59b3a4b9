"""Counts kept from an earlier day, and counts with their months put together."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kb.nouns.outcomes import Standing
from kb.outcomes.tally import COLUMNS, Ints, Tally, tally_rows


def tally_aged(rows: Sequence[Sequence[int]] | Ints, window_days: int) -> Tally:
    """Rows of (update, month, day, age, standing, other_work, count), as kept from an earlier day.

    `age` = days from the reflash to the day of the report, in days of the window (a longer window of an
    intermittent shrunk to it). Only waiting and overdue vehicles change with age; facts do not. So counts
    grouped by age for those, and at any age for the others, give the tally of the new day.
    """
    table = np.asarray(rows, dtype=np.int64).reshape(-1, COLUMNS).copy()
    day, age, standing = table[:, 2], table[:, 3].clip(0, window_days), table[:, 4]
    waits = np.isin(standing, (Standing.IN_WINDOW, Standing.OVERDUE))
    now = np.where(age < window_days, Standing.IN_WINDOW, Standing.OVERDUE)
    silent = waits | (standing == Standing.NOT_KNOWN)
    table[:, 3] = np.where(silent, np.maximum(age, day), day)
    table[:, 4] = np.where(waits, now, standing)
    return tally_rows(table, window_days)


def without_months(counts: Tally) -> Tally:
    """The same groups with the months (set to 0) counted together: all that rates need."""
    span = counts.window_days + 1
    key = counts.update * 2 + counts.other_work
    for column, width in ((counts.standing, len(Standing)), (counts.day, span), (counts.silent_day, span)):
        key = key * width + column
    _, first, group = np.unique(key, return_index=True, return_inverse=True)
    columns = (counts.update, counts.day, counts.silent_day, counts.standing, counts.other_work)
    update, day, silent_day, standing, other_work = (column[first] for column in columns)
    count = np.bincount(group, weights=counts.count, minlength=first.size).astype(np.int64)
    month = np.zeros_like(update)
    return Tally(counts.window_days, update, month, day, silent_day, standing, other_work, count)
