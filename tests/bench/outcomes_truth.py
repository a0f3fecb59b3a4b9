"""Whether the figures keep their word where the truth is known: python -m tests.bench.outcomes_truth.

Seeded invented shops. Kind world: vehicles followed at the window independently of their outcome. Honest:
heard of as shops hear (tests/simulated/hearing.py). Reported of both: how often the 90 % intervals hold the
true cure chance. tests.bench.drift watches the shops of the kind world.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import numpy as np

from demo_data.truth import UPDATES
from kb.nouns.outcomes import Standing
from kb.nouns.review.reflash_report import ReportRow
from kb.outcomes.alarms.sightings import Sightings
from kb.outcomes.review import ReviewSettings, review
from kb.outcomes.silence import calls_of
from kb.outcomes.tally import Floats, Ints, Tally, tally_rows
from tests.simulated.hearing import calls_known, draw_fates, honest_hearing, known_rows
from tests.simulated.outcomes import Outcomes, draw_outcomes

AS_OF = date(2026, 11, 1)
WINDOW = 90
CHANCES = np.array([0.94, 0.9, 0.86, 0.82, 0.78, 0.74, 0.68, 0.6, 0.5, 0.35])
SHOWN = 1.0 - np.exp(-(np.arange(WINDOW + 1) + 12.0) / 30.0)
SHOWN /= SHOWN[-1]
SPAN = 540


def shop(rng: np.random.Generator, chances: Floats, halved: int | None = None) -> dict[int, Sightings]:
    """Every update with 8 to 60 reflashes; one may lose half its cure chance half way."""
    return {
        i: _update(rng, np.full(n, chance), i == halved)
        for i, (chance, n) in enumerate(zip(chances, rng.integers(8, 61, chances.size), strict=True))
    }


def _update(rng: np.random.Generator, chance: Floats, halved: bool) -> Sightings:
    n = chance.size
    start = np.sort(AS_OF.toordinal() - SPAN + rng.integers(0, SPAN, n))
    real = np.where((np.arange(n) >= n // 2) & halved, chance / 2, chance)
    open_to = np.minimum(AS_OF.toordinal() - start, WINDOW)
    age = np.searchsorted(SHOWN, rng.random(n))
    followed = (rng.random(n) < 0.7) & (open_to == WINDOW)
    fails = rng.random(n) >= real
    seen_to = np.where(followed, WINDOW, rng.integers(0, open_to + 1))
    failed = fails & (age <= seen_to)
    day = np.where(failed, age, seen_to)
    return Sightings(WINDOW, start, np.where(failed, age, -1), day, np.where(failed, day, open_to), open_to)


def rows(update: int, seen: Sightings) -> Ints:
    """The vehicles as rows of counts."""
    failing = np.where(seen.failed_on == 0, Standing.FAILED_AT_ROAD_TEST, Standing.COMEBACK)
    open_ = np.where(seen.open_to < WINDOW, Standing.IN_WINDOW, Standing.OVERDUE)
    quiet = np.where(seen.free_to == WINDOW, Standing.FOLLOWED_TO_WINDOW, open_)
    standing = np.where(seen.failed_on >= 0, failing, quiet)
    zero = np.zeros_like(standing)
    age = np.maximum(seen.silent_to, seen.open_to)
    return np.column_stack([zero + update, zero, seen.free_to, age, standing, zero, zero + 1])


def honest(seeds: int) -> None:
    """Coverage in the honest world. The plain interval reads silence as if nothing were told unasked."""
    shrunken, raw, gap = [], [], []
    for seed in range(seeds):
        rng = np.random.default_rng(seed)
        update = np.repeat(np.arange(CHANCES.size), rng.integers(8, 61, CHANCES.size))
        age = rng.integers(1, SPAN + 1, update.size)
        fates = draw_fates(honest_hearing(rng), rng.random(update.size) < CHANCES[update], rng)
        counts = tally_rows(known_rows(update, fates, age), WINDOW)
        told = review(counts, AS_OF, settings=ReviewSettings(calls=calls_known(counts, fates, age)))
        for row, chance in zip(told.rows, CHANCES, strict=True):
            shrunken.append(row.shrunken_interval[0] <= chance <= row.shrunken_interval[1])
            raw.append(row.interval[0] <= chance <= row.interval[1])
            gap.append(row.shrunken_rate - chance)
    print(
        f"honest world, {len(gap)} intervals of nominal 90 %: shrunken {np.mean(shrunken):.3f}, "
        f"bias {np.mean(gap):+.3f}; plain {np.mean(raw):.3f}"
    )


def coverage(seeds: int) -> None:
    shrunken, raw, count = 0, 0, 0
    for seed in range(seeds):
        made = shop(np.random.default_rng(seed), CHANCES)
        table = np.concatenate([rows(i, seen) for i, seen in made.items()])
        for row, chance in zip(review(tally_rows(table, WINDOW), AS_OF).rows, CHANCES, strict=True):
            shrunken += row.shrunken_interval[0] <= chance <= row.shrunken_interval[1]
            raw += row.interval[0] <= chance <= row.interval[1]
            count += 1
    print(f"{count} intervals of nominal 90 %: shrunken {shrunken / count:.3f}, raw {raw / count:.3f}")


def demo_counts(update: int, drawn: Outcomes) -> Ints:
    """The vehicles of an update of the demo shop as rows of counts; every window is over."""
    failing = np.where(drawn.days == 0, Standing.FAILED_AT_ROAD_TEST, Standing.COMEBACK)
    quiet = np.where(drawn.days == WINDOW, Standing.FOLLOWED_TO_WINDOW, Standing.OVERDUE)
    standing = np.where(drawn.failed, failing, quiet)
    zero = np.zeros_like(standing)
    return np.column_stack([zero + update, zero, drawn.days, zero + WINDOW, standing, zero, zero + 1])


def demo_coverage(seeds: int) -> None:
    """Nominal 90 % intervals against the true cure chances of the demo shop, the drifting update left out.

    Vehicles are followed at the window independently of what came; once as in the demo, once all of them.
    """
    for words, how in (("followed as in the demo", {}), ("all followed", {"silent": 0.0, "seen_once": 0.0})):
        shrunken, raw, count = 0, 0, 0
        for seed in range(seeds):
            drawn = draw_outcomes(seed, **how)
            table = np.concatenate([demo_counts(i, one) for i, one in enumerate(drawn, start=1)])
            counts = tally_rows(table, WINDOW)
            for row, one in zip(
                review(counts, AS_OF, settings=_called(counts, drawn)).rows, drawn, strict=True
            ):
                if UPDATES[one.update].later_cures is not None:
                    continue
                shrunken += row.shrunken_interval[0] <= one.true_rate <= row.shrunken_interval[1]
                raw += row.interval[0] <= one.true_rate <= row.interval[1]
                count += 1
        print(
            f"demo shop, {words}: {count} intervals, shrunken {shrunken / count:.3f}, raw {raw / count:.3f}"
        )


def _called(counts: Tally, drawn: Sequence[Outcomes]) -> ReviewSettings:
    """With what the shop's calls tell of comebacks: told unasked, or found on asking."""
    back = sum(int((one.failed & (one.days > 0)).sum()) for one in drawn)
    unasked = sum(int(one.unasked.sum()) for one in drawn)
    return ReviewSettings(calls=calls_of(counts, unasked, back - unasked))


def silence(seeds: int, returns: float) -> None:
    """30 % of the vehicles are never asked; of their failures after a pass a share `returns` comes by itself.

    The truth is the share of these very vehicles that were free of the concern to the window.
    """
    inside, whole, count = 0, 0, 0
    for seed in range(seeds):
        rng = np.random.default_rng(seed)
        drawn = draw_outcomes(seed, silent=0.0, seen_once=0.0)
        heard = [_unasked(one, rng, returns) for one in drawn]
        table = np.concatenate([demo_counts(i, one) for i, one in enumerate(heard, start=1)])
        told = review(tally_rows(table, WINDOW), AS_OF)
        every = np.concatenate([one.failed for one in drawn])
        whole += _between(told.shop, 1.0 - float(every.mean()))
        for row, one in zip(told.rows, drawn, strict=True):
            inside += _between(row, 1.0 - float(one.failed.mean()))
            count += 1
    print(
        f"30 % never asked, {returns:.0%} of their comebacks told: truth between the bounds in "
        f"{inside / count:.3f} of updates, {whole} of {seeds} shops"
    )


def _unasked(one: Outcomes, rng: np.random.Generator, returns: float) -> Outcomes:
    silent = rng.random(one.days.size) < 0.3
    silent &= ~(one.failed & ((one.days == 0) | (rng.random(one.days.size) < returns)))
    return replace(one, days=np.where(silent, 0, one.days), failed=one.failed & ~silent)


def _between(row: ReportRow, truth: float) -> bool:
    if row.cure_rate is None or row.rate_if_silence_is_fine is None:
        return True
    low, high = sorted((row.cure_rate, row.rate_if_silence_is_fine))
    return low - 1e-9 <= truth <= high + 1e-9


if __name__ == "__main__":
    coverage(200)
    honest(200)
    demo_coverage(200)
    for share in (1.0, 0.7, 0.5):
        silence(200, share)
