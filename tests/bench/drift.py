"""What the two alarms tell where the truth is known: python -m tests.bench.drift [shops].

The seeded invented shops of outcomes_truth. Reported of each alarm and of either: reflashes between false
alarms where nothing changes, and how often and how soon an update is told whose cure chance was halved half
way.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from datetime import date

import numpy as np

from kb.nouns.review.alarms import Alarm
from kb.outcomes.alarms.sightings import Sightings
from kb.outcomes.alarms.worse_than_it_was import worse_than_it_was
from kb.outcomes.alarms.worse_than_shop import watch
from kb.outcomes.silence import Silence, silence_of
from kb.outcomes.tally import Floats, tally_rows
from tests.bench.outcomes_truth import AS_OF, CHANCES, WINDOW, rows, shop

Shop = dict[int, Sightings]
Told = dict[int, Alarm]
ALARMS: Mapping[str, Callable[[Shop, date, Silence], Told]] = {
    "worse than the shop": watch,
    "worse than it was": worse_than_it_was,
}
ALIKE = np.full(8, 0.8)
FIRST_SEED = 1000
ENOUGH = 10
"""Reflashes since the change below which hardly anything can be known."""


def told(made: Shop) -> dict[str, Told]:
    """The alarms of a shop, silence read by its own counts; of either the earlier one."""
    silence = silence_of(tally_rows(np.concatenate([rows(i, seen) for i, seen in made.items()]), WINDOW))
    each = {name: look(made, AS_OF, silence) for name, look in ALARMS.items()}
    first, second = each.values()
    both = {i: min(first.get(i, one), one, key=lambda alarm: alarm.since) for i, one in second.items()}
    return {**each, "either": first | both}


def false_alarms(chances: Floats, shops: int, words: str) -> None:
    """Nothing changes: every alarm is false, even one of an update that always cured less than others."""
    reflashes, count = 0, dict.fromkeys((*ALARMS, "either"), 0)
    for seed in range(FIRST_SEED, FIRST_SEED + shops):
        made = shop(np.random.default_rng(seed), chances)
        reflashes += sum(seen.start.size for seen in made.values())
        for name, alarms in told(made).items():
            count[name] += len(alarms)
    print(f"{words}, {reflashes} reflashes, nothing changes:")
    for name, false in count.items():
        print(f"  {name:20s} {false:4d} false alarms, one in {reflashes / max(false, 1):.0f}", flush=True)


def drift(chances: Floats, halved: int, shops: int, words: str) -> None:
    delays: dict[str, list[int]] = {name: [] for name in (*ALARMS, "either")}
    late, of_late = dict.fromkeys(delays, 0), 0
    for seed in range(FIRST_SEED, FIRST_SEED + shops):
        made = shop(np.random.default_rng(seed), chances, halved=halved)
        start = made[halved].start
        since = start.size - start.size // 2
        of_late += since >= ENOUGH
        for name, alarms in told(made).items():
            if halved in alarms:
                day = alarms[halved].since.toordinal()
                delays[name].append(int(np.sum(start < day)) - start.size // 2)
                late[name] += since >= ENOUGH
    print(f"{words}, cure chance {chances[halved]:.2f} halved in each of {shops} shops:")
    for name, some in delays.items():
        soon = f"after {np.median(some):.0f} reflashes (median)" if some else ""
        print(
            f"  {name:20s} told {len(some):3d} {soon}; {late[name]} of {of_late} with {ENOUGH} or more since",
            flush=True,
        )


if __name__ == "__main__":
    how_many = int(sys.argv[1]) if sys.argv[1:] else 100
    false_alarms(ALIKE, how_many, "updates alike")
    false_alarms(CHANCES, how_many, "updates that differ")
    drift(ALIKE, 3, how_many, "updates alike")
    drift(CHANCES, 0, how_many, "updates that differ")
    drift(CHANCES, 3, how_many, "updates that differ")
