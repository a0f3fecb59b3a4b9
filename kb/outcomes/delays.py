"""How long failures take to show: the delay of a failure, given that it fails within the window."""

from __future__ import annotations

import numpy as np

from kb.nouns.outcomes import Standing
from kb.outcomes.tally import FAILURES, Floats, Ints, Tally

PRIOR_FAILURES = 20.0
PRIOR_ENDS = (0.0, 1 / 9, 1 / 3, 2 / 3, 1.0)
"""Ends of the bins of what is assumed before any failure, in windows; the first is the road test."""
PRIOR_IN_BIN = (6.0, 4.0, 5.0, 3.0, 2.0)
"""Failures of 20 in each bin. A guess, no source: 3 in 10 at the road test, most others within a month."""


def prior_delays(window_days: int) -> Floats:
    """Failures assumed on each day 0..W before any was counted, 20 in all, even within a bin."""
    days = np.arange(window_days + 1) / window_days
    return np.diff(np.interp(days, PRIOR_ENDS, np.cumsum(PRIOR_IN_BIN)), prepend=0.0)


def failing_by(counts: Tally, told_unasked: float) -> Floats:
    """F: of the failures within the window, the share that has shown by each day 0..W; F(W) = 1.

    A failure of a vehicle that is a days old is on file only if it took at most a days: young vehicles show
    only short delays. So each delay t is held against the failures of at most t days in vehicles of at least
    t days, F(t) = product over u > t of 1 - (failed after u)/(failed by u in vehicles of age >= u), the
    non-parametric estimate under right truncation: Kalbfleisch, Lawless & Robinson (1991), Technometrics
    33:273-285, who correct reports of warranty claims for their lag; the product in reversed time from memory
    of Lagakos, Barraj & De Gruttola (1988), Biometrika 75:515-523. The prior counts as 20 failures, none
    of them cut off.

    What fails at the road test is always known, what fails later only if told: a comeback counts 1/k, with
    k = h for a vehicle in the window and h + (1 - h) r after it, h = `told_unasked` and r the share of the
    silent ones that were reached. Comebacks put on day 0 (nobody knows their day) are spread as the others.
    """
    width = counts.window_days + 1
    kept = (counts.other_work == 0) & np.isin(counts.standing, FAILURES)
    at_once = kept & (counts.standing == Standing.FAILED_AT_ROAD_TEST)
    later, timed = kept & ~at_once, kept & ~at_once & (counts.day > 0)
    known = _known_share(counts, told_unasked)
    weight = np.where(at_once, counts.count, counts.count / known)
    if timed.any():
        weight = np.where(timed, weight * (weight[later].sum() / weight[timed].sum()), weight)
    use = at_once | timed
    failed = prior_delays(counts.window_days) + _by_day(counts.day[use], weight[use], width)
    gone = _by_day(counts.silent_day[use] + 1, weight[use], width + 1)[:-1]
    in_view = np.cumsum(failed) - np.cumsum(gone)
    stays = np.clip(1.0 - failed / in_view, 0.0, 1.0)
    shown = np.ones(width)
    shown[:-1] = np.cumprod(stays[:0:-1])[::-1]
    return shown


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
