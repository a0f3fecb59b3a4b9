"""Whether young shops read right: python -m tests.bench.silence [seeds].

Seeded invented shops of 45 to 700 days, ten updates of 24 reflashes each. Three in ten failures show at the
road test, the others after a Weibull delay; of those a share is told unasked on the day it shows, and past
the window a share of the silent vehicles is reached. Printed: how often the adjusted 90 % intervals hold the
true cure chance and how far the rates lie off, h learned from the calls; then the same where vehicles that
fail and say nothing are reached half as often (they vanish).
"""

from __future__ import annotations

import sys
from datetime import date
from itertools import product

import numpy as np

from kb.nouns.outcomes import Standing
from kb.outcomes.review import ReviewSettings, review
from kb.outcomes.silence import calls_of
from kb.outcomes.tally import Floats, Ints, tally_rows

AS_OF = date(2026, 11, 1)
WINDOW, UPDATES, REFLASHES = 90, 10, 24
AGES = (45, 60, 90, 120, 200, 400, 700)
Shop = tuple[Floats, Ints, tuple[int, int]]
"""True chances, rows of counts, comebacks told unasked and found past their window."""


def shop(rng: np.random.Generator, span: int, told: float, reached: float, vanish: float = 1.0) -> Shop:
    n = UPDATES * REFLASHES
    chances = rng.beta(6, 3, UPDATES).clip(0.1, 0.97)
    update = np.repeat(np.arange(UPDATES), REFLASHES)
    age = rng.integers(1, span, n)
    cured, at_once = rng.random(n) < chances[update], rng.random(n) < 0.3
    within = rng.random(n) * -np.expm1(-((WINDOW / 35) ** 0.9))
    delay = np.ceil(35 * (-np.log1p(-within)) ** (1 / 0.9)).clip(1, WINDOW).astype(np.int64)
    fails = ~cured & ~at_once
    unasked = fails & (rng.random(n) < told) & (delay <= age)
    past = age > WINDOW + 5
    silent = past & ~unasked & ~(~cured & at_once)
    found = silent & (rng.random(n) < np.where(fails, reached * vanish, reached))
    failed = unasked | (found & fails)
    standing = np.where(past, Standing.OVERDUE, np.where(age >= WINDOW, Standing.OVERDUE, Standing.IN_WINDOW))
    standing = np.where(found & ~fails, Standing.FOLLOWED_TO_WINDOW, standing)
    standing = np.where(failed, Standing.COMEBACK, standing)
    standing = np.where(~cured & at_once, Standing.FAILED_AT_ROAD_TEST, standing)
    day = np.where(found & ~fails, WINDOW, np.where(failed, delay, 0))
    day = np.where(~cured & at_once, 0, day)
    zero, one = np.zeros_like(day), np.ones_like(day)
    rows = np.column_stack([update, zero, day, np.minimum(age, WINDOW), standing, zero, one])
    return chances, rows, (int((unasked & (age >= WINDOW)).sum()), int((found & fails).sum()))


def judged(seeds: int, span: int, told: float, reached: float, vanish: float) -> tuple[float, float]:
    """Share of intervals that hold the truth, and the mean gap of the rates."""
    inside, gap = [], []
    for seed in range(seeds):
        rng = np.random.default_rng([seed, span])
        chances, rows, heard = shop(rng, span, told, reached, vanish)
        counts = tally_rows(rows, WINDOW)
        how = ReviewSettings(calls=calls_of(counts, *heard))
        for row, chance in zip(review(counts, AS_OF, settings=how).rows, chances, strict=True):
            inside.append(row.shrunken_interval[0] <= chance <= row.shrunken_interval[1])
            gap.append(row.shrunken_rate - chance)
    return float(np.mean(inside)), float(np.mean(gap))


def main(seeds: int) -> None:
    for vanish, told, reached in product((1.0, 0.5), (0.6, 0.9), (0.25, 0.6)):
        print(f"told unasked {told:.0%}, reached {reached:.0%}, of the failing {reached * vanish:.0%}")
        for span in AGES:
            share, gap = judged(seeds, span, told, reached, vanish)
            print(f"  {span:4d} days: {share:.1%} hold the truth, bias {gap:+.3f}", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
