"""The limit of an alarm, from replays of an update's own dates with nothing but luck at work."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from kb.outcomes.alarms.sightings import Sightings
from kb.outcomes.alarms.suspicion import LEAST_FAILING
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
class Luck:
    """What luck alone is held to do: chance not cured, and how failures show over the window.

    `known_from`: vehicles it was counted from, those in the window by the share they would have shown.
    """

    not_cured: float
    shown: Floats
    known_from: float


def due(seen: Sightings, shown: Floats) -> tuple[float, float]:
    """Failures, and vehicles by the share of their failures that would be known by now."""
    return float(np.sum(seen.failed_on >= 0)), float(shown[seen.open_to].sum())


def luck_of(failed: float, exposed: float, shown: Floats) -> Luck:
    """The luck of vehicles of which `failed` are known to have failed, `exposed` counting in full."""
    return Luck(min(failed / exposed, 1.0) if exposed > 0.0 else 0.0, shown, exposed)


@dataclass(frozen=True, slots=True)
class Replayed:
    """What a limit depends on, hashable: day numbers, ages, the shown curve and the failing share.

    `known_from`: how many vehicles the failing share was counted from.
    """

    start: tuple[int, ...]
    open_to: tuple[int, ...]
    shown: tuple[float, ...]
    not_cured: float
    known_from: float


Highest = Callable[[Replayed, np.random.Generator], Iterator[Floats]]
"""The highest value of an alarm's evidence in each replay, CHUNK replays at a time."""
Busy = Callable[[Sightings, Luck], float]
"""The limit of an update with more reflashes than are replayed on their own dates."""


def own_dates(seen: Sightings, luck: Luck) -> Replayed:
    """An update's own dates, and the luck."""
    order = np.argsort(seen.start, kind="stable")
    starts = (seen.start[order] - seen.start[order[0]]).tolist()
    open_to = seen.open_to[order].tolist()
    shown = tuple(luck.shown.tolist())
    return Replayed(tuple(starts), tuple(open_to), shown, luck.not_cured, luck.known_from)


def as_busy(seen: Sightings, luck: Luck) -> Replayed:
    """An even stream as busy as the update, and the luck."""
    span = max(int(seen.start.max() - seen.start.min()), 1)
    return even_stream(seen.start.size / span, luck.shown, luck.not_cured, luck.known_from)


def limit_if_passed(peak: float, seen: Sightings, luck: Luck, highest: Highest, busy: Busy) -> float | None:
    """The limit of an alarm if `peak` lies above it: by the update's own dates, or if it is `busy`."""
    if peak <= LEAST_LIMIT:
        return None
    if seen.start.size <= OWN_DATES_TO:
        return limit_passed(peak, own_dates(seen, luck), highest)
    limit = busy(seen, luck)
    return limit if peak > limit else None


@lru_cache(maxsize=1024)
def alarm_limit(replayed: Replayed, highest: Highest, seed: int = 0) -> float:
    """The value of an alarm's evidence that luck alone exceeds once in 500 reflashes on average.

    In a replay every vehicle fails at one chance with the shop's timing, up to the age by which it can have
    shown it (`open_to`); otherwise it counts as free of the concern to that age. That chance is known from so
    many vehicles only, so each replay draws it anew about the counted share. With false alarms coming evenly,
    n reflashes pass without one with chance exp(-n/500): the limit is that quantile of the highest values of
    the replays. Kept, since it depends on nothing else.
    """
    return _limit(replayed, highest(replayed, np.random.default_rng(seed)))


@lru_cache(maxsize=1024)
def limit_passed(peak: float, replayed: Replayed, highest: Highest, seed: int = 0) -> float | None:
    """The limit if `peak` lies above it, else None: sooner, since replays stop once too many went as high."""
    allowed = REPLAYS - _rank(replayed) - 1
    as_high, seen = 0, []
    for some in highest(replayed, np.random.default_rng(seed)):
        seen.append(some)
        as_high += int(np.sum(some >= peak))
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


def failures(
    rng: np.random.Generator, replayed: Replayed, shown: Floats, open_to: Ints
) -> tuple[Ints, Ints, Ints]:
    """Failures that show in each of CHUNK replays: its number, the vehicle, the vehicle's age."""
    p, n = max(replayed.not_cured, LEAST_FAILING), replayed.known_from
    chance = rng.beta(p * n + 0.5, (1.0 - p) * n + 0.5, CHUNK)
    draw = rng.random((CHUNK, open_to.size))
    replay, vehicle = np.nonzero(draw <= np.outer(chance, shown[open_to]))
    age = np.searchsorted(shown, draw[replay, vehicle] / np.maximum(chance[replay], TINY), side="left")
    return replay, vehicle, np.minimum(age, open_to[vehicle])
