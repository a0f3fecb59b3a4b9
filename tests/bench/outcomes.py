"""How fast the outcomes of a shop are reviewed: python -m tests.bench.outcomes.

Figures are processor seconds of one run; the shop is invented and seeded.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from time import process_time

import numpy as np

from kb.nouns.outcomes import Standing
from kb.outcomes.alarms.sightings import sightings_by_month
from kb.outcomes.alarms.worse_than_shop import watch
from kb.outcomes.review import review
from kb.outcomes.shrinkage import heard_of
from kb.outcomes.silence import silence_of, silent_counts
from kb.outcomes.tally import Ints, Tally, tally_rows, updates_of
from kb.outcomes.updates_in_general import HyperPrior

AS_OF = date(2026, 11, 1)
WINDOW = 90


def invented_rows(reflashes: int, updates: int, seed: int = 1) -> Ints:
    """Rows of (update, month, day, age, standing, other work, count), a reflash each."""
    rng = np.random.default_rng(seed)
    update = rng.integers(1, updates + 1, reflashes)
    not_cured = rng.beta(2, 8, updates + 1)
    fails = rng.random(reflashes) < not_cured[update]
    day = np.where(fails, rng.integers(0, WINDOW + 1, reflashes), rng.choice([0, 30, WINDOW], reflashes))
    failing = np.where(day == 0, Standing.FAILED_AT_ROAD_TEST, Standing.COMEBACK)
    quiet = np.where(day == WINDOW, Standing.FOLLOWED_TO_WINDOW, Standing.OVERDUE)
    month = rng.integers(2021 * 12, 2026 * 12 + 7, reflashes)
    age = np.full_like(day, WINDOW)
    other = (rng.random(reflashes) < 0.05).astype(np.int64)
    standing = np.where(fails, failing, quiet)
    columns = (update, month, day, age, standing, other, np.ones_like(day))
    return np.column_stack(columns).astype(np.int64)


def timed(name: str, work: Callable[[], object]) -> None:
    start = process_time()
    work()
    print(f"{name:58s} {process_time() - start:7.3f} s")


def watched(counts: Tally) -> object:
    return watch(sightings_by_month(counts, AS_OF), AS_OF, silence_of(counts))


def main() -> None:
    rows = invented_rows(1_000_000, 300)
    counts: Tally = tally_rows(rows, WINDOW)
    timed("1,000,000 reflashes, 300 updates: rows to counts", lambda: tally_rows(rows, WINDOW))
    timed("  review, cold", lambda: review(counts, AS_OF))
    timed("  review again", lambda: review(counts, AS_OF))
    timed("  watch, cold", lambda: watched(counts))
    timed("  watch again", lambda: watched(counts))
    small = tally_rows(invented_rows(6_000, 200), WINDOW)
    own, silence = silent_counts(small, updates_of(small)), silence_of(small)
    places = np.arange(own.failed.size)
    timed(
        "6,000 reflashes, 200 updates: shrunken rates alone",
        lambda: heard_of(own, own, places, silence, HyperPrior()),
    )
    timed("  review", lambda: review(small, AS_OF))
    timed("  watch, cold: 2,000 replays of every update", lambda: watched(small))


if __name__ == "__main__":
    main()
