"""How far an update's failures speak against the shop, day by day: what "worse than the shop" sums."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kb.outcomes.tally import Floats, Ints

LEAST_FAILING, MOST_FAILING = 0.02, 0.9


@dataclass(frozen=True, slots=True)
class Histories:
    """Vehicles of one update; ages are days of the window 0..W.

    `start` is the day number of the reflash, `failed_on` the age at failure (-1: none), `free_to` the age up
    to which the vehicle is or would be known to be free of the concern.
    """

    start: Ints
    failed_on: Ints
    free_to: Ints


@dataclass(frozen=True, slots=True)
class Suspicion:
    """Log-likelihood ratio of one vehicle: cure chance halved against the shop's own.

    p0 is the shop's chance not cured, p1 = 1 - (1 - p0)/2. A vehicle free of the concern at age t has
    ln((1 - p1 v)/(1 - p0 v)), v = `shown[t]`; a failed one ln(p1/p0). `free` holds the first for t = 0..W
    with a 0 before it, so that free[t] belongs to a vehicle not yet t days old.
    """

    free: Floats
    failing: float


def suspicion(not_cured: float, shown: Floats) -> Suspicion:
    """The ratio for a shop's chance `not_cured`, kept within .02 to .9 so that one vehicle cannot decide."""
    p0 = min(max(not_cured, LEAST_FAILING), MOST_FAILING)
    p1 = 1.0 - (1.0 - p0) / 2.0
    free = np.log((1.0 - p1 * shown) / (1.0 - p0 * shown))
    return Suspicion(np.concatenate([[0.0], free]), float(np.log(p1 / p0)))


def daily_changes(vehicles: Histories, ratio: Suspicion, first: int, days: int) -> Floats:
    """Change of the summed log-likelihood ratio on each of `days` days from day number `first`."""
    free_to = np.where(vehicles.failed_on >= 0, vehicles.failed_on - 1, vehicles.free_to)
    ages = np.arange(ratio.free.size - 1)
    step = np.where(ages[None, :] <= free_to[:, None], np.diff(ratio.free)[None, :], 0.0)
    failed = np.flatnonzero(vehicles.failed_on >= 0)
    age = vehicles.failed_on[failed]
    step[failed, age] = ratio.failing - ratio.free[age]
    when = (vehicles.start - first)[:, None] + ages[None, :]
    inside = (when >= 0) & (when < days)
    moved = np.bincount(when[inside], weights=step[inside], minlength=days)
    return np.asarray(moved, dtype=np.float64)


def cusum(changes: Floats) -> Floats:
    """S = max(0, S + change) along the last axis, from 0: Page (1954), Biometrika 41:100-115."""
    total = np.cumsum(changes, axis=-1)
    lowest = np.minimum(np.minimum.accumulate(total, axis=-1), 0.0)
    value: Floats = total - lowest
    return value
