"""What a silent vehicle says: the more, the longer a failure would have had time to be told."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from kb.nouns.outcomes import FAILURES
from kb.outcomes.failure_delays import failing_by, past_window, reached_share, told_by_age, told_within
from kb.outcomes.tally import Floats, Ints, Tally, rows_of, tally_rows
from kb.outcomes.told_unasked import Calls, told_points

UNTOLD, FINE = 0.0, 1.0
"""The ends of h: nobody says anything unasked, and everybody does (silence is fine)."""


@dataclass(frozen=True, slots=True)
class Silence:
    """How failures show in a shop, and how they are heard of.

    | field         | meaning                                                                      |
    |---------------|------------------------------------------------------------------------------|
    | `failing`     | F: of failures in the window, the share that has shown by day 0..W           |
    | `told`        | equally likely values of h, the share told unasked                           |
    | `reached`     | of vehicles silent past their window, the share that was reached             |
    | `told_within` | G: of what is told, the share told within 0, 1, ... days of the day it shows |
    """

    failing: Floats
    told: Floats
    reached: float
    told_within: Floats = field(default_factory=lambda: np.ones(1))

    @property
    def mean_told(self) -> float:
        return float(self.told.mean())

    def known_by(self, seen: Ints | int, age: Ints | int, told: float) -> Floats:
        """V: the chance that a silent vehicle would be known to have failed, if it fails within the window.

        V = F(seen) + h (F(age) - F(seen)), for the day it was last `seen` and its `age`, both days of the
        window 0..W. Up to `seen` F goes by the day of failing, up to `age` by the day of hearing.
        """
        by_sight, heard = self.failing[seen], told_by_age(self.failing, self.told_within)[age]
        value: Floats = by_sight + told * np.maximum(heard - by_sight, 0.0)
        return value

    def known_unseen(self) -> Floats:
        """The same by age 0..W, at mean h, not knowing whether anybody will see or reach the vehicle."""
        h = self.mean_told
        shown = self.known_by(0, np.arange(self.failing.size), h)
        shown[-1] += (1.0 - h) * self.reached * (1.0 - self.failing[0])
        return shown


@dataclass(frozen=True, slots=True)
class SilentCounts:
    """Failures (updates,) and vehicles free of the concern (updates, kinds); a kind is a day last `seen` and
    an `age` (kinds,).
    """

    failed: Floats
    free: Floats
    seen: Ints
    age: Ints

    def pooled(self) -> SilentCounts:
        """All updates as one."""
        return SilentCounts(self.failed.sum(keepdims=True), self.free.sum(axis=0)[None], self.seen, self.age)

    def exposed(self, silence: Silence) -> Floats:
        """Vehicles that count in full: failures, and the free ones by their v at mean h. (updates,)"""
        known = silence.known_by(self.seen, self.age, silence.mean_told)
        return np.asarray(self.failed + self.free @ known, dtype=np.float64)


def nothing_counted(window_days: int) -> Silence:
    """Before any failure and any call."""
    return silence_of(tally_rows([], window_days))


def calls_of(counts: Tally, unasked: int, found: int, lags: tuple[tuple[int, int, int], ...] = ()) -> Calls:
    """Calls of a shop by its counts, and how its comebacks past their window were heard.

    Reached, of those who said nothing: the followed and the found, of these and the overdue.
    """
    followed, silent = past_window(counts)
    reached = followed + found
    return Calls(unasked, found, reached / (reached + silent) if reached else 0.0, lags)


def silence_of(counts: Tally, calls: Calls | None = None) -> Silence:
    """From all reflashes of the shop; updates are pooled, since few have failures enough of their own."""
    known = calls or Calls()
    told, within = told_points(known), told_within(known.lags, counts.window_days)
    failing = failing_by(counts, float(told.mean()), within)
    return Silence(failing, told, reached_share(counts), within)


def silent_counts(counts: Tally, updates: Ints) -> SilentCounts:
    """By update in the order of `updates` (ascending). Left out as in every rate: other work in the same
    visit, and vehicles of which nothing is known.
    """
    row, kept = rows_of(counts, updates)
    kept &= counts.told_of
    failing = np.isin(counts.standing, FAILURES)
    lost, quiet = kept & failing, kept & ~failing
    failed = np.bincount(row[lost], weights=counts.count[lost], minlength=updates.size)
    width = counts.window_days + 1
    pair = counts.day[quiet] * width + np.maximum(counts.silent_day[quiet], counts.day[quiet])
    kinds, kind = np.unique(pair, return_inverse=True)
    place = row[quiet] * kinds.size + kind
    free = np.bincount(place, weights=counts.count[quiet], minlength=updates.size * kinds.size)
    by_kind = free.astype(np.float64).reshape(updates.size, kinds.size)
    return SilentCounts(failed.astype(np.float64), by_kind, kinds // width, kinds % width)
