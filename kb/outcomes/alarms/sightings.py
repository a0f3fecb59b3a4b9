"""Vehicles of one update, one by one, as the watch needs them: when reflashed, failed, seen to what age."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from kb.nouns.outcomes import FAILURES, Standing
from kb.outcomes.tally import DayCounts, Ints, Tally

MID_MONTH = 15


@dataclass(frozen=True, slots=True)
class Sightings:
    """Vehicles of one update, one position each; ages are days of the window 0..W.

    | column      | meaning                                                          |
    |-------------|------------------------------------------------------------------|
    | `start`     | day number of the reflash                                        |
    | `failed_on` | age at failure; -1 if none                                       |
    | `free_to`   | age to which it is known to be free of the concern               |
    | `silent_to` | the same, were silence fine                                      |
    | `open_to`   | age to which a failure could have shown by the day of the report |
    """

    window_days: int
    start: Ints
    failed_on: Ints
    free_to: Ints
    silent_to: Ints
    open_to: Ints

    def day_counts(self) -> DayCounts:
        """Failed and free vehicles by the age of which they are known, shape (W+1,)."""
        width = self.window_days + 1
        failed = self.failed_on >= 0
        return DayCounts(
            np.bincount(self.failed_on[failed], minlength=width).astype(np.float64),
            np.bincount(self.free_to[~failed], minlength=width).astype(np.float64),
        )


def sightings_by_month(counts: Tally, as_of: date) -> dict[int, Sightings]:
    """By update id, where every reflash of a month is taken to be of its middle. Left out: other work in the
    same visit, and unknown vehicles.
    """
    kept = counts.told_of
    months = np.unique(counts.month[kept])
    middles = [date(int(m) // 12, int(m) % 12 + 1, MID_MONTH).toordinal() for m in months]
    start = np.zeros_like(counts.month)
    start[kept] = np.array(middles, dtype=np.int64)[np.searchsorted(months, counts.month[kept])]
    return sightings_on_days(counts, start, as_of)


def sightings_on_days(counts: Tally, start: Ints, as_of: date) -> dict[int, Sightings]:
    """The same from counts of which each group's reflashes are of one day, `start` its day number."""
    kept = counts.told_of
    columns = (counts.standing, counts.day, counts.silent_day)
    rows = np.stack([counts.update[kept], start[kept], *(column[kept] for column in columns)])
    return _by_update(np.repeat(rows, counts.count[kept], axis=1), counts.window_days, as_of)


def _by_update(rows: Ints, window_days: int, as_of: date) -> dict[int, Sightings]:
    """Columns update, start, standing, day, silent day (in the first axis), split by update."""
    columns = rows[:, np.argsort(rows[0], kind="stable")]
    updates, firsts = np.unique(columns[0], return_index=True)
    groups = np.split(columns, firsts[1:], axis=1) if updates.size else []
    pairs = zip(updates.tolist(), groups, strict=True)
    return {int(update): _sightings(group, window_days, as_of) for update, group in pairs}


def _sightings(rows: Ints, window_days: int, as_of: date) -> Sightings:
    _, start, standing, day, silent_day = rows
    failing = np.isin(standing, FAILURES)
    age = (as_of.toordinal() - start).clip(0, window_days)
    silent_to = np.maximum(silent_day, day)
    open_to = np.where(standing == Standing.ENDED, silent_to, np.maximum(age, day))
    return Sightings(window_days, start, np.where(failing, day, -1), day, silent_to, open_to)
