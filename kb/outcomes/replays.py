"""The limit of the watch, from replays of an update's own dates with the shop's own luck."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from kb.outcomes.path import LEAST_FAILING, Histories, Suspicion, daily_changes, suspicion
from kb.outcomes.tally import Floats, Ints

REPLAYS = 2000
CHUNK = 250
TINY = 1e-12
BETWEEN_ALARMS = 500
"""Reflashes between false alarms, on average."""
LEAST_LIMIT = 2.5
"""No alarm speaks below odds of e^2.5, 12 to 1; so most quiet updates need no replays at all."""
NO_DOUBT = 4.0
"""Standard errors beyond which the rest of the replays is not waited for: one in 30,000 would turn round."""
OWN_DATES_TO = 60
"""Reflashes of an update up to which its own dates are replayed.

Beyond, the limit is that of an even stream as busy, shared with updates like it: over clumped and spread
dates it lay within -.12 and +.28 of that of the own dates, which 2,000 replays tell to about .06.
"""
STREAM = 100
"""Reflashes of the even stream."""


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
    return _limit(replayed, _highest(replayed, np.random.default_rng(seed)))


@lru_cache(maxsize=1024)
def limit_passed(peak: float, replayed: Replayed, seed: int = 0) -> float | None:
    """The limit if `peak` lies above it, else None: sooner, since replays stop once too many went as high."""
    if peak <= LEAST_LIMIT:
        return None
    allowed = REPLAYS - _rank(replayed) - 1
    as_high, seen = 0, []
    for highest in _highest(replayed, np.random.default_rng(seed)):
        seen.append(highest)
        as_high += int(np.sum(highest >= peak))
        if as_high > allowed or _will_be_more(as_high, len(seen) * CHUNK, allowed):
            return None
    return _limit(replayed, seen)


def _will_be_more(as_high: int, of: int, allowed: int) -> bool:
    """Whether more than `allowed` of all replays will go as high beyond doubt, after `as_high` `of` them."""
    share = allowed / REPLAYS
    return as_high > of * share + NO_DOUBT * float(np.sqrt(of * share * (1.0 - share)))


def _rank(replayed: Replayed) -> int:
    """Place of the limit among the sorted highest values of all replays."""
    chance = float(np.exp(-len(replayed.start) / BETWEEN_ALARMS))
    return min(int(np.ceil(chance * REPLAYS)), REPLAYS) - 1


def _limit(replayed: Replayed, highest: Iterable[Floats]) -> float:
    return max(float(np.sort(np.concatenate([*highest]))[_rank(replayed)]), LEAST_LIMIT)


def even_stream(reflashes_a_day: float, shown: Floats, not_cured: float, known_from: float) -> Replayed:
    """A stream as busy as a busy update, its figures rounded so that like updates share one limit.

    Reflashes a day and vehicles behind `not_cured` to a power of 2, `not_cured` to .02.
    """
    gap = 1.0 / _power_of_2(reflashes_a_day)
    return Replayed(
        start=tuple(int(i * gap) for i in range(STREAM)),
        open_to=(shown.size - 1,) * STREAM,
        shown=tuple(np.round(shown, 2).tolist()),
        not_cured=round(not_cured * 50) / 50,
        known_from=_power_of_2(known_from),
    )


def _power_of_2(value: float) -> float:
    return float(2.0 ** round(float(np.log2(max(value, 1e-3)))))


def _highest(replayed: Replayed, rng: np.random.Generator) -> Iterator[Floats]:
    """The highest value of the watch in each replay, CHUNK replays at a time.

    Between failures the summed ratio only falls, so its path is followed from failure to failure: highest on
    the day of one, lowest on the day before one.
    """
    start, open_to = np.array(replayed.start), np.array(replayed.open_to)
    shown = np.array(replayed.shown)
    ratio = suspicion(replayed.not_cured, shown)
    first = int(start.min())
    days = int(start.max()) - first + shown.size
    quiet = daily_changes(Histories(start, np.full(start.size, -1), open_to), ratio, first, days)
    so_far = np.concatenate([[0.0], np.cumsum(quiet)])
    for _ in range(REPLAYS // CHUNK):
        replay, vehicle, age = _failures(rng, replayed, shown, open_to)
        day = start[vehicle] - first + age
        in_order = np.sort((replay * days + day) * start.size + vehicle)
        replay, day, vehicle = (
            in_order // (days * start.size),
            in_order // start.size % days,
            in_order % start.size,
        )
        begins = np.searchsorted(replay, np.arange(CHUNK))[replay]
        failing = Failing(replay, begins, day, start[vehicle] - first, open_to[vehicle])
        yield _peaks(failing, ratio, so_far, shown.size)


@dataclass(frozen=True, slots=True)
class Failing:
    """Failures of many replays, by replay and day: `day` and `start` from the first day, ages `open_to`.

    `first`: where the failures of the same replay begin.
    """

    replay: Ints
    first: Ints
    day: Ints
    start: Ints
    open_to: Ints


def _peaks(failing: Failing, ratio: Suspicion, so_far: Floats, width: int) -> Floats:
    """Highest value of max(0, S + change) in each of CHUNK replays; `so_far[d]`: quiet changes before day d.

    A failed vehicle counts ratio.failing in place of what it would count were it free of the concern.
    """
    at = so_far[failing.day + 1] + _instead(failing, ratio, width, before=0)
    low = so_far[failing.day] + _instead(failing, ratio, width, before=1)
    peaks = np.zeros(CHUNK)
    if not failing.day.size:
        return peaks
    rank = np.arange(failing.replay.size) - failing.first
    rows, columns = CHUNK, int(rank.max()) + 1
    highs, lows = np.full((rows, columns), -np.inf), np.zeros((rows, columns))
    highs[failing.replay, rank], lows[failing.replay, rank] = at, low
    lowest = np.minimum(np.minimum.accumulate(lows, axis=1), 0.0)
    value: Floats = np.maximum(peaks, (highs - lowest).max(axis=1))
    return value


def _instead(failing: Failing, ratio: Suspicion, width: int, before: int) -> Floats:
    """At each failure (`before` 0) or the day before it (1): what all failures so far changed.

    Those a whole window ago changed it for good; the latest are added one rank back at a time.
    """
    when = failing.day - before
    for_good = ratio.failing - ratio.free[failing.open_to + 1]
    total = np.cumsum(for_good)
    first = failing.first
    changed = total - (total - for_good)[first] - (for_good if before else 0.0)
    place = np.arange(when.size)
    for back in range(before, when.size):
        here = place[place - back >= first[place]]
        here = here[when[here] - failing.day[here - back] < width]
        if not here.size:
            break
        then = here - back
        age = np.minimum(when[here] - failing.start[then], failing.open_to[then])
        changed[here] += ratio.free[failing.open_to[then] + 1] - ratio.free[age + 1]
        place = here
    return changed


def _failures(
    rng: np.random.Generator, replayed: Replayed, shown: Floats, open_to: Ints
) -> tuple[Ints, Ints, Ints]:
    """Failures that show in each of CHUNK replays: its number, the vehicle, the vehicle's age."""
    p, n = max(replayed.not_cured, LEAST_FAILING), replayed.known_from
    chance = rng.beta(p * n + 0.5, (1.0 - p) * n + 0.5, CHUNK)
    draw = rng.random((CHUNK, open_to.size))
    replay, vehicle = np.nonzero(draw <= np.outer(chance, shown[open_to]))
    age = np.searchsorted(shown, draw[replay, vehicle] / np.maximum(chance[replay], TINY), side="left")
    return replay, vehicle, np.minimum(age, open_to[vehicle])
