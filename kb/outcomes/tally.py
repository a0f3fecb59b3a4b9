"""The compact form of many observations: parallel columns with counts, from which every figure is made."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from kb.errors import BadInput
from kb.nouns.outcomes import FAILURES, Observation, Standing

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

COLUMNS = 7


@dataclass(frozen=True, slots=True)
class Tally:
    """Equal observations counted together: one position in every column is one group of `count` reflashes.

    `update` ids, `month` (year * 12 + month - 1), `day` and `silent_day` in 0..window_days, `standing` a
    Standing, `other_work` 0 or 1, `count` at least 1. All columns have the same length.
    """

    window_days: int
    update: Ints
    month: Ints
    day: Ints
    silent_day: Ints
    standing: Ints
    other_work: Ints
    count: Ints

    @property
    def told_of(self) -> Flags:
        """The groups that count in a rate, by the rule of `Observation.is_told_of`."""
        told: Flags = (self.other_work == 0) & (self.standing != Standing.NOT_KNOWN)
        return told

    def part(self, which: Flags | Ints) -> Tally:
        """Some of the groups, by their places or by a flag each."""
        return replace(self, **{name: getattr(self, name)[which] for name in _GROUPS})


_GROUPS = tuple(one.name for one in fields(Tally) if one.name != "window_days")


@dataclass(frozen=True, slots=True)
class DayCounts:
    """Vehicles by day 0..W in the last axis: `failed` that day, and `free` of the concern last seen that day.

    Both have the same shape, (W+1,) for one group or (groups, W+1).
    """

    failed: Floats
    free: Floats

    def pooled(self) -> DayCounts:
        """All groups as one."""
        return DayCounts(self.failed.sum(axis=0), self.free.sum(axis=0))


def tally(observations: Iterable[Observation], window_days: int) -> Tally:
    """The observations of one report, which all share its window."""
    return tally_rows(
        [(o.update_id, o.month, o.day, o.silent_day, o.standing, o.other_work, 1) for o in observations],
        window_days,
    )


def joined(first: Tally, *others: Tally) -> Tally:
    """The groups of all of them, which share their window, one after the other."""
    every = (first, *others)
    columns = {name: np.concatenate([getattr(one, name) for one in every]) for name in _GROUPS}
    return Tally(first.window_days, **columns)


def tally_rows(rows: Sequence[Sequence[int]] | Ints, window_days: int) -> Tally:
    """Rows of (update, month, day, silent_day, standing, other_work, count), as a database groups them.

    Raises BadInput where a day lies outside 0..window_days or a standing or count is impossible.
    """
    table = np.asarray(rows, dtype=np.int64).reshape(-1, COLUMNS)
    update, month, day, silent_day, standing, other_work, count = table.T.copy()
    days = np.concatenate([day, silent_day])
    if window_days < 1 or (days.size and (days.min() < 0 or days.max() > window_days)):
        raise BadInput("A day of a count lies outside the window.", fields={"day": "not in 0..window"})
    if count.size and (count.min() < 0 or standing.min() < 0 or standing.max() > max(Standing)):
        raise BadInput("A count or standing is impossible.", fields={"count": "below 0", "standing": "?"})
    return Tally(window_days, update, month, day, silent_day, standing, other_work, count)


def tally_of_columns(table: Ints, window_days: int, as_of: date) -> Tally:
    """Rows of the columns that outcomes keep, equal ones together, as the report counts them.

    A row: (update, month, kind, day, day number of the reflash, other work, count), kind and day as in
    `Story.columns` of kb.outcomes.story. The day number matters only where the window may still be open: an
    age bears on silence and on delays. Every fact of a row was known on `as_of`.
    """
    update, month, kind, day, start, other_work, count = table.reshape(-1, 7).T
    age = np.clip(as_of.toordinal() - start, 0, window_days)
    waits, unknown = kind == Standing.IN_WINDOW, kind == Standing.NOT_KNOWN
    failed = np.isin(kind, FAILURES) & (day <= window_days)
    followed = ~failed & ~unknown & ((day >= window_days) | np.isin(kind, FAILURES))
    standing = np.where(waits & (age >= window_days), Standing.OVERDUE, kind)
    standing = np.where(followed, Standing.FOLLOWED_TO_WINDOW, standing)
    known = np.where(unknown, 0, np.minimum(day, window_days))
    aging = (waits & ~followed) | unknown | failed
    silent = np.where(aging, np.maximum(age, known), known)
    rows = np.column_stack([update, month, known, silent, standing, other_work, count])
    return tally_rows(rows, window_days)


def updates_of(counts: Tally) -> Ints:
    """The update ids that occur, ascending."""
    return np.unique(counts.update)


def day_counts(counts: Tally, updates: Ints, *, silence_is_fine: bool = False) -> DayCounts:
    """Failed and free vehicles by update (rows, in the order of `updates`, ascending) and day.

    Left out: other work in the same visit, and vehicles of which nothing is known. Where silence is fine, a
    vehicle not heard of counts as free to its silent day.
    """
    row, known = rows_of(counts, updates)
    known &= counts.told_of
    failing = np.isin(counts.standing, FAILURES)
    day = np.where(failing | (not silence_is_fine), counts.day, counts.silent_day)
    return DayCounts(
        _grid(counts, row, day, known & failing, updates.size),
        _grid(counts, row, day, known & ~failing, updates.size),
    )


def standings(counts: Tally, updates: Ints, *, other_work: bool = False) -> Ints:
    """Reflashes by update and Standing, shape (updates, 8), with or without other work in the same visit."""
    row, known = rows_of(counts, updates)
    known &= counts.other_work == int(other_work)
    key = row[known] * len(Standing) + counts.standing[known]
    flat = np.bincount(key, weights=counts.count[known], minlength=updates.size * len(Standing))
    return flat.astype(np.int64).reshape(updates.size, len(Standing))


def not_known_open(counts: Tally, updates: Ints) -> Ints:
    """Of the vehicles of which nothing is known, those whose window is still open, by update."""
    row, known = rows_of(counts, updates)
    known &= (counts.other_work == 0) & (counts.standing == Standing.NOT_KNOWN)
    known &= counts.silent_day < counts.window_days
    return np.bincount(row[known], weights=counts.count[known], minlength=updates.size).astype(np.int64)


def rows_of(counts: Tally, updates: Ints) -> tuple[Ints, Flags]:
    """For each group the place of its update among `updates` (ascending), and whether it is one of them."""
    if not updates.size:
        return np.zeros_like(counts.update), np.zeros(counts.update.shape, dtype=bool)
    row = np.searchsorted(updates, counts.update).clip(max=updates.size - 1)
    return row, updates[row] == counts.update


def _grid(counts: Tally, row: Ints, day: Ints, which: NDArray[np.bool_], groups: int) -> Floats:
    width = counts.window_days + 1
    key = row[which] * width + day[which]
    flat = np.bincount(key, weights=counts.count[which], minlength=groups * width)
    return flat.astype(np.float64).reshape(groups, width)


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
