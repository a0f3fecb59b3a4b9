"""The limit of the watch, from replays of an update's own dates with the shop's own luck."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from kb.outcomes.path import LEAST_FAILING, Histories, Suspicion, cusum, daily_changes, suspicion
from kb.outcomes.tally import Floats, Ints

REPLAYS = 2000
CHUNK = 250
TINY = 1e-12
BETWEEN_ALARMS = 500
"""Reflashes between false alarms, on average."""
LEAST_LIMIT = 2.5
"""No alarm speaks below odds of e^2.5, 12 to 1; so most quiet updates need no replays at all."""
LONGEST = 200
"""Reflashes replayed at most; busier updates get the limit of an even stream as busy, a rate per reflash."""


@dataclass(frozen=True, slots=True)
class Replayed:
    """What a limit depends on, hashable: day numbers, ages, the shop's shown curve and its failing share.

    `known_from`: how many vehicles the failing share was counted from.
    """

    start: tuple[int, ...]
    open_to: tuple[int, ...]
    shown: tuple[float, ...]
    not_cured: float
    known_from: float


@lru_cache(maxsize=1024)
def alarm_limit(replayed: Replayed, seed: int = 0) -> float:
    """The value of the watch that bad luck alone exceeds once in 500 reflashes on average.

    Replays let every vehicle fail at the shop's chance and timing up to the age it can have shown it
    by (`open_to`), and count as free of the concern to that age otherwise. The shop's chance is known from
    so many vehicles only, so each replay draws it anew about the counted share. With false alarms coming
    evenly, n reflashes pass without one with chance exp(-n/500); the limit is that quantile of the highest
    value of a replay. Kept, since it depends on nothing else.
    """
    chance = np.exp(-len(replayed.start) / BETWEEN_ALARMS)
    highest = np.sort(_highest(replayed, np.random.default_rng(seed)))
    limit = float(highest[min(int(np.ceil(chance * REPLAYS)) - 1, REPLAYS - 1)])
    return max(limit, LEAST_LIMIT)


def even_stream(reflashes_a_day: float, shown: Floats, not_cured: float, known_from: float) -> Replayed:
    """A stream as busy as a busy update, its figures rounded so that like updates share one limit.

    Reflashes a day and vehicles behind `not_cured` to a power of 2, `not_cured` to .02.
    """
    gap = 1.0 / _power_of_2(reflashes_a_day)
    return Replayed(
        start=tuple(int(i * gap) for i in range(LONGEST)),
        open_to=(shown.size - 1,) * LONGEST,
        shown=tuple(np.round(shown, 2).tolist()),
        not_cured=round(not_cured * 50) / 50,
        known_from=_power_of_2(known_from),
    )


def _power_of_2(value: float) -> float:
    return float(2.0 ** round(float(np.log2(max(value, 1e-3)))))


def _highest(replayed: Replayed, rng: np.random.Generator) -> Floats:
    start, open_to = np.array(replayed.start), np.array(replayed.open_to)
    shown = np.array(replayed.shown)
    ratio = suspicion(replayed.not_cured, shown)
    first, width = int(start.min()), shown.size
    days = int(start.max()) - first + width
    quiet = daily_changes(Histories(start, np.full(start.size, -1), open_to), ratio, first, days)
    change = _change_if_failing(ratio, width)
    highest = []
    for _ in range(REPLAYS // CHUNK):
        failed_on = _failing_ages(rng, replayed, shown, open_to)
        replay, vehicle = np.nonzero(failed_on >= 0)
        rows = change[failed_on[replay, vehicle], open_to[vehicle]]
        at = (replay * days + start[vehicle] - first)[:, None] + np.arange(width)[None, :]
        moved = np.bincount(at.ravel(), weights=rows.ravel(), minlength=CHUNK * days)
        highest.append(cusum(quiet + moved.reshape(CHUNK, days)).max(axis=1))
    return np.concatenate(highest)


def _failing_ages(rng: np.random.Generator, replayed: Replayed, shown: Floats, open_to: Ints) -> Ints:
    """Age at failure per replay and vehicle, -1 where none shows."""
    p, n = max(replayed.not_cured, LEAST_FAILING), replayed.known_from
    chance = rng.beta(p * n + 0.5, (1.0 - p) * n + 0.5, (CHUNK, 1))
    draw = rng.random((CHUNK, open_to.size)) / np.maximum(chance, TINY)
    age = np.searchsorted(shown, draw, side="left")
    return np.where((draw <= 1.0) & (age <= open_to), age, -1)


def _change_if_failing(ratio: Suspicion, width: int) -> Floats:
    """By age at failure and age seen to: what failing changes, by age, in the path of a quiet vehicle."""
    age, seen, at = np.ogrid[:width, :width, :width]
    steps = np.diff(ratio.free)[None, None, :]
    removed = np.where((at >= age) & (at <= seen), -steps, 0.0)
    known = ratio.free[np.minimum(age, seen + 1)]
    added = np.where(at == age, ratio.failing - known, 0.0)
    value: Floats = removed + added
    return value
