"""Whether young shops read right: nice python -m tests.bench.silence [seeds].

Seeded invented shops of 45 to 700 days, ten updates of 24 reflashes each, heard as shops hear
(tests/simulated/hearing.py). Printed: how often the adjusted 90 % intervals hold the true cure chance and how
far the rates lie off, h learned from the calls; then the same where vehicles that fail and say nothing are
reached half as often (they vanish), and where what is told is told a week late.
"""

from __future__ import annotations

import sys
from itertools import product

import numpy as np

from kb.outcomes.shrinkage import CureChances, heard_of
from kb.outcomes.silence import Silence, silent_counts
from kb.outcomes.tally import Floats, Tally, tally_rows
from kb.outcomes.updates_in_general import HyperPrior
from tests.simulated.hearing import WINDOW, Hearing, draw_fates, known_rows, silence_known

UPDATES, REFLASHES = 10, 24
AGES = (45, 60, 90, 120, 200, 400, 700)


def shop(rng: np.random.Generator, span: int, hearing: Hearing) -> tuple[Floats, Tally, Silence]:
    """True chances, what is on file of the vehicles, and what silence says by all of it."""
    chances = rng.beta(6, 3, UPDATES).clip(0.1, 0.97)
    update = np.repeat(np.arange(UPDATES), REFLASHES)
    age = rng.integers(1, span, update.size)
    fates = draw_fates(hearing, rng.random(update.size) < chances[update], rng)
    counts = tally_rows(known_rows(update, fates, age), WINDOW)
    return chances, counts, silence_known(update, fates, age)


def believed(counts: Tally, silence: Silence) -> CureChances:
    """As the review believes of each update."""
    every = np.arange(UPDATES)
    seen = silent_counts(counts, every)
    return heard_of(seen, seen, every, silence, HyperPrior())


def judged(seeds: int, span: int, hearing: Hearing) -> tuple[float, float]:
    """Share of intervals that hold the truth, and the mean gap of the rates."""
    inside, gap = [], []
    for seed in range(seeds):
        chances, counts, silence = shop(np.random.default_rng([seed, span]), span, hearing)
        found = believed(counts, silence)
        low, high = found.interval(0.9)
        inside.append((low <= chances) & (chances <= high))
        gap.append(found.mean - chances)
    return float(np.mean(inside)), float(np.mean(gap))


def main(seeds: int) -> None:
    for (vanish, late), told, reached in product(
        ((1.0, 0.0), (0.5, 0.0), (1.0, 7.0)), (0.6, 0.9), (0.25, 0.6)
    ):
        print(
            f"told unasked {told:.0%}, {late:.0f} days late, reached {reached:.0%}, "
            f"of the failing {reached * vanish:.0%}"
        )
        for span in AGES:
            share, gap = judged(seeds, span, Hearing(told, reached, vanish, late))
            print(f"  {span:4d} days: {share:.1%} hold the truth, bias {gap:+.3f}", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
