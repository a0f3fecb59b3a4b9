"""How far the failures of one update speak for a change among its own reflashes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kb.outcomes.alarms.alarm_limits import CHUNK, REPLAYS, Replayed, failures
from kb.outcomes.tally import Flags, Floats, Ints

POINTS = (np.arange(5) + 0.5) / 5
"""Chances not cured before a change, each as likely as the other."""
LOGS = tuple(
    zip(*(np.log(x).tolist() for x in (POINTS, 1 - POINTS, (1 + POINTS) / 2, (1 - POINTS) / 2)), strict=True)
)
"""For each point the logarithms of failing and of not failing, before the change and since."""
MOST = 500.0
"""Logarithm of odds beyond which nothing is told apart."""


@dataclass(frozen=True, slots=True)
class Failed:
    """Failures of many courses of one update, a row each; columns without one are not `there`.

    `first`: place of the failed vehicle in the order of reflash, of those of one day the first. `column`: its
    day in the columns of `after`.
    """

    first: Ints
    column: Ints
    there: Flags


def after(start: Ints, open_to: Ints, shown: Floats, days: Ints) -> Floats:
    """Vehicles from each place on, by the share of failures that their age shows on each of `days`.

    `start` in order, `shown` v by age. Shape (vehicles + 1, days); row 0 is all of them, the last is nobody.
    """
    age = np.minimum(days[None, :] - start[:, None], open_to[:, None])
    weight = np.concatenate([[0.0], shown])[np.maximum(age, -1) + 1]
    return np.concatenate([np.cumsum(weight[::-1], axis=0)[::-1], np.zeros((1, days.size))])


def odds(failed: Failed, exposed: Floats) -> Floats:
    """Odds of a change against none, by course, failure at which the change begins, and failure that shows.

    A change halves the cure chance: not cured is p before it and 1 - (1 - p)/2 from it on. The likelihood of
    d failures among e `exposed` vehicles is p^d (1 - p)^(e - d), averaged over p with and without the change.
    A change can begin only with a failure that is known already; elsewhere the odds are 0.

    This is the likelihood ratio for a change in a sequence of binomial variables (Hinkley & Hinkley 1970,
    Biometrika 57:477-488; from memory), with a mixture in place of the unknown chance.
    """
    known = failed.there[:, :, None] & (failed.column[:, :, None] <= failed.column[:, None, :])
    since = (failed.first[:, None, :] >= failed.first[:, :, None]).astype(np.float64)
    begins = known & (failed.first > 0)[:, :, None] & failed.there[:, None, :]
    course, begun, shows = np.nonzero(begins)
    column = failed.column[course, shows]
    d2, e2 = (since @ known)[begins], exposed[failed.first[course, begun], column]
    d, e = known.sum(axis=1, dtype=np.float64)[course, shows], exposed[0][column]
    free, free1, free2 = (np.maximum(x, 0.0) for x in (e - d, e - e2 - d + d2, e2 - d2))
    none = np.logaddexp.reduce([d * lost + free * kept for lost, kept, _, _ in LOGS])
    value = np.zeros(begins.shape)
    for lost, kept, lost_since, kept_since in LOGS:
        changed = (d - d2) * lost + free1 * kept + d2 * lost_since + free2 * kept_since
        value[begins] += np.exp(np.minimum(changed - none, MOST))
    return value


def evidence(failed: Failed, exposed: Floats) -> Floats:
    """Logarithm of the odds summed over where the change may begin, by course and failure that shows.

    The sum over change points in place of the highest: Shiryaev (1963), Theory Probab. Appl. 8:22-46, and
    Roberts (1966), Technometrics 8:411-430, both from memory. 0 where nothing speaks for a change.
    """
    value: Floats = np.log(np.maximum(odds(failed, exposed).sum(axis=1), 1.0))
    return value


def highest(replayed: Replayed, rng: np.random.Generator) -> Iterator[Floats]:
    """The highest evidence of each replay, in which one chance holds for all vehicles; CHUNK at a time."""
    start, open_to, shown = np.array(replayed.start), np.array(replayed.open_to), np.array(replayed.shown)
    exposed = after(start, open_to, shown, np.arange(start[0], start[-1] + shown.size))
    first = np.searchsorted(start, start)
    for _ in range(REPLAYS // CHUNK):
        replay, vehicle, age = failures(rng, replayed, shown, open_to)
        column = start[vehicle] - start[0] + age
        failed = _in_rows(replay, first[vehicle], column)
        yield evidence(failed, exposed).max(axis=1, initial=0.0)


def _in_rows(replay: Ints, first: Ints, column: Ints) -> Failed:
    """Failures by replay, ascending, as a row each."""
    rank = np.arange(replay.size) - np.searchsorted(replay, np.arange(CHUNK))[replay]
    width = int(rank.max(initial=-1)) + 1
    firsts, columns = np.zeros((CHUNK, width), dtype=np.int64), np.zeros((CHUNK, width), dtype=np.int64)
    there = np.zeros((CHUNK, width), dtype=bool)
    firsts[replay, rank], columns[replay, rank], there[replay, rank] = first, column, True
    return Failed(firsts, columns, there)
