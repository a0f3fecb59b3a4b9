"""How long failures take to show: the delay of a failure, given that it fails within the window."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kb.nouns.outcomes import FAILURES, Standing
from kb.outcomes.tally import Floats, Ints, Tally

PRIOR_TOLD = 5.0
PRIOR_ENDS = (0.0, 1 / 9, 1 / 3, 2 / 3, 1.0)
"""Ends of the bins of what is assumed before any failure, in windows; the first is the road test."""
PRIOR_IN_BIN = (6.0, 4.0, 5.0, 3.0, 2.0)
"""Failures of 20 in each bin. A guess, no source: 3 in 10 at the road test, most others within a month."""


def prior_delays(window_days: int) -> Floats:
    """Failures assumed on each day 0..W before any was counted, 20 in all, even within a bin."""
    days = np.arange(window_days + 1) / window_days
    return np.diff(np.interp(days, PRIOR_ENDS, np.cumsum(PRIOR_IN_BIN)), prepend=0.0)


def failing_by(counts: Tally, told_unasked: float, told_within: Floats | None = None) -> Floats:
    """F: of the failures within the window, the share that has shown by each day 0..W; F(W) = 1.

    Failures that are told stand for those that are not. r is the share of the silent ones that were reached,
    a the age, t the day it showed, G is `told_within`:

    | failure               | counts                                                         |
    |-----------------------|----------------------------------------------------------------|
    | at the road test      | once: it is always known                                       |
    | later, window over    | 1 / (h + (1 - h) r) times, h = `told_unasked`                  |
    | later, window open    | 1 / (h G(a - t)) times: what showed lately may not be told yet |
    | on a day nobody knows | as the other later ones, spread as they are                    |
    """
    width = counts.window_days + 1
    kept = (counts.other_work == 0) & np.isin(counts.standing, FAILURES)
    at_once = kept & (counts.standing == Standing.FAILED_AT_ROAD_TEST)
    later, timed = kept & ~at_once, kept & ~at_once & (counts.day > 0)
    known = _known_share(counts, told_unasked)
    if told_within is not None:
        ago = np.minimum(counts.silent_day - counts.day, told_within.size - 1)
        known = known * np.where(timed & (counts.silent_day < counts.window_days), told_within[ago], 1.0)
    weight = np.where(at_once, counts.count, counts.count / known)
    if timed.any():
        weight = np.where(timed, weight * (weight[later].sum() / weight[timed].sum()), weight)
    use = at_once | timed
    return _share_by(counts.day[use], counts.silent_day[use], weight[use], prior_delays(width - 1))


def told_within(lags: Sequence[tuple[int, int, int]], window_days: int) -> Floats:
    """G: of the failures told unasked, the share that is told within 0..W days of the day they show.

    `lags` as in kb.outcomes.told_unasked. Before any, all are told on the day itself, as good as 5 failures.
    """
    told = np.array(lags, dtype=np.int64).reshape(-1, 3).clip(0, window_days)
    at_once = np.zeros(window_days + 1)
    at_once[0] = PRIOR_TOLD
    return _share_by(told[:, 0], told[:, 1], np.array([n for *_days, n in lags], dtype=np.float64), at_once)


def _share_by(days: Ints, limit: Ints, weight: Floats, prior: Floats) -> Floats:
    """The share of delays of at most 0..W days, from delays that are on file only if at most `limit` days.

    A failure of a vehicle that is a days old is on file only if it took at most a days, so young vehicles
    show only short delays. Each delay t is therefore held against vehicles of at least t days alone:

        F(t) = product over u > t of 1 - (failed after u) / (failed by u in vehicles of age >= u)

    The `prior` counts by day, none of it cut off. This is the non-parametric estimate under right truncation:
    Kalbfleisch, Lawless & Robinson (1991), Technometrics 33:273-285, who correct reports of warranty claims
    for their lag; the product in reversed time is from memory of Lagakos, Barraj & De Gruttola (1988),
    Biometrika 75:515-523.
    """
    delayed = prior + _by_day(days, weight, prior.size)
    gone = _by_day(limit + 1, weight, prior.size + 1)[:-1]
    in_view = np.cumsum(delayed) - np.cumsum(gone)
    stays = np.clip(1.0 - delayed / in_view, 0.0, 1.0)
    shown = np.ones(prior.size)
    shown[:-1] = np.cumprod(stays[:0:-1])[::-1]
    return shown


def told_by_age(failing: Floats, told_within: Floats) -> Floats:
    """The share of failures that would have been told by each age 0..W, were all told.

    What shows at the road test is known at once, what shows later after a lag (F by the day it shows, G after
    it), and all by W, when a vehicle is called.
    """
    later = np.diff(failing, prepend=0.0)
    later[0] = 0.0
    lag = np.diff(told_within, prepend=0.0)
    told: Floats = failing[0] + np.cumsum(np.convolve(later, lag)[: failing.size])
    told[-1] = 1.0
    return told


def reached_share(counts: Tally) -> float:
    """Of vehicles past their window without a failure, the share that somebody knows of; 0 without any."""
    followed, silent = past_window(counts)
    return followed / (followed + silent) if followed else 0.0


def past_window(counts: Tally) -> tuple[int, int]:
    """Vehicles followed to the window, and those past it that nobody has asked."""
    own = counts.other_work == 0
    followed, silent = (
        int(counts.count[own & (counts.standing == one)].sum())
        for one in (Standing.FOLLOWED_TO_WINDOW, Standing.OVERDUE)
    )
    return followed, silent


def _known_share(counts: Tally, told_unasked: float) -> Floats:
    """By group, the share of later failures of its age that somebody has told of or found by asking."""
    asked = np.where(counts.silent_day >= counts.window_days, reached_share(counts), 0.0)
    return np.asarray(told_unasked + (1.0 - told_unasked) * asked, dtype=np.float64)


def _by_day(day: Ints, weight: Floats, width: int) -> Floats:
    return np.bincount(day, weights=weight, minlength=width).astype(np.float64)
