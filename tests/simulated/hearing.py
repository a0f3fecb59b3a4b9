"""How a shop hears what became of its reflashes: late, in part, and failures first. Every figure is invented.

Three failures in ten show at the road test, the others after a Weibull delay. Of those a share is told
unasked, some days after they show; after the window the shop reaches some of the vehicles it has heard
nothing of, and then learns whether the concern came back, not when. Of the rest it never hears.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kb.nouns.outcomes import Standing
from kb.outcomes.silence import Silence, calls_of, silence_of
from kb.outcomes.tally import Tally, tally_rows
from kb.outcomes.told_unasked import Calls

Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

WINDOW = 90
CALLED_ON = 95
"""Day after the reflash on which a silent vehicle is asked for, if ever."""
NEVER = 1 << 30


@dataclass(frozen=True, slots=True)
class Hearing:
    """How one shop hears: `told` = share of later failures told unasked, `reached` = share of the silent ones
    that are asked after their window (of those that failed `vanish` times as many). What is told is told
    `told_after` days after it shows, on average.
    """

    told: float
    reached: float
    vanish: float = 1.0
    told_after: float = 0.0
    at_road_test: float = 0.3
    scale_days: float = 35.0
    shape: float = 0.9


@dataclass(frozen=True, slots=True)
class Fates:
    """What becomes of vehicles reflashed, by vehicle: days after the reflash, NEVER where it does not happen.

    `fails_on` is the day the concern is back (0 = road test), `heard_on` the day the shop knows how it went,
    `unasked` whether it was told without asking.
    """

    fails_on: Ints
    heard_on: Ints
    unasked: Flags


def honest_hearing(random: np.random.Generator) -> Hearing:
    """A shop that is told .6 to .95 of its failures unasked, 0 to 10 days late by shop, and that never asks
    for 4 vehicles in 10.
    """
    return Hearing(float(random.uniform(0.6, 0.95)), 0.6, told_after=float(random.uniform(0.0, 10.0)))


def draw_fates(hearing: Hearing, cured: Flags, random: np.random.Generator) -> Fates:
    """Fates of vehicles, cured or not."""
    n = cured.size
    at_once = random.random(n) < hearing.at_road_test
    within = random.random(n) * -np.expm1(-((WINDOW / hearing.scale_days) ** hearing.shape))
    delay = np.ceil(hearing.scale_days * (-np.log1p(-within)) ** (1 / hearing.shape)).clip(1, WINDOW)
    fails_on = np.where(cured, NEVER, np.where(at_once, 0, delay)).astype(np.int64)
    unasked = ~cured & ((fails_on == 0) | (random.random(n) < hearing.told))
    reached = random.random(n) < np.where(cured, hearing.reached, hearing.reached * hearing.vanish)
    late = np.where(fails_on > 0, np.floor(random.exponential(hearing.told_after, n)), 0).astype(np.int64)
    heard_on = np.where(unasked, fails_on + late, np.where(reached, CALLED_ON, NEVER))
    return Fates(fails_on, heard_on, unasked)


def known_rows(update: Ints, fates: Fates, age: Ints) -> Ints:
    """Rows of counts of vehicles `age` days old: update, month 0, day, silent day, standing, other work, 1.

    A failure found on asking has no known day: it stands on the last day it was known to be fine, 0.
    """
    open_for = np.minimum(age, WINDOW)
    heard = fates.heard_on <= age
    failed = heard & (fates.fails_on <= WINDOW)
    followed = heard & ~failed
    silent = np.where(age < WINDOW, Standing.IN_WINDOW, Standing.OVERDUE)
    failing = np.where(fates.fails_on == 0, Standing.FAILED_AT_ROAD_TEST, Standing.COMEBACK)
    standing = np.select([failed, followed], [failing, Standing.FOLLOWED_TO_WINDOW], silent)
    day = np.select([failed & fates.unasked, followed], [fates.fails_on, WINDOW], 0)
    zero = np.zeros_like(day)
    return np.column_stack([update, zero, day, np.maximum(open_for, day), standing, zero, zero + 1])


def calls_known(counts: Tally, fates: Fates, age: Ints) -> Calls:
    """How the shop heard of comebacks: past the window told unasked or found on asking, and how late."""
    back = (fates.heard_on <= age) & (fates.fails_on <= WINDOW) & (fates.fails_on > 0)
    told = back & fates.unasked
    late, could_be = (fates.heard_on - fates.fails_on)[told], (age - fates.fails_on)[told]
    lags = tuple((int(days), int(most), 1) for days, most in zip(late, could_be, strict=True))
    past = back & (age >= WINDOW)
    return calls_of(counts, int((past & told).sum()), int((past & ~told).sum()), lags)


def silence_known(update: Ints, fates: Fates, age: Ints) -> Silence:
    """What silence says by all that is on file of these vehicles, the shop's all."""
    counts = tally_rows(known_rows(update, fates, age), WINDOW)
    return silence_of(counts, calls_known(counts, fates, age))
