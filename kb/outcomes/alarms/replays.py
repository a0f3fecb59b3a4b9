"""Replays of the watch: its highest value where nothing but the shop's own luck is at work."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kb.outcomes.alarms.alarm_limits import CHUNK, REPLAYS, Replayed, failures
from kb.outcomes.alarms.suspicion import Histories, Suspicion, daily_changes, suspicion
from kb.outcomes.tally import Floats, Ints


def highest(replayed: Replayed, rng: np.random.Generator) -> Iterator[Floats]:
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
        replay, vehicle, age = failures(rng, replayed, shown, open_to)
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
