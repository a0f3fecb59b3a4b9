"""How long learning takes as outcomes add up: python -m tests.bench.learning.

Invented histories: over 20 updates or one with half or more of the vehicles not heard of, and heard as shops
hear (tests/simulated/hearing.py); learned is all that the advice rests on (kb/advice/chances/learn.py). The
peer is the same leave-one-out chances one by one: for every concern its update's likelihood integrated again,
on a fine grid of the chance, without its factor.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta
from time import process_time

import numpy as np
from scipy.special import betaln, expit, logit, logsumexp

from kb.advice.chances.belief import Hierarchy, UpdateRecord, starting_grid
from kb.advice.chances.learn import Learned, learn, update_records
from kb.advice.chances.leave_one_out import LookingBack, Waiting
from kb.nouns.advice import AdviceSettings, InWindow, PastCandidate, PastConcern
from kb.nouns.notes import Grade
from kb.outcomes.silence import Silence, nothing_counted
from tests.simulated.hearing import WINDOW, Flags, Ints, draw_fates, honest_hearing, silence_known

SETTINGS = AdviceSettings()
UPDATES, CURED = 20, 0.7
FEW_UPDATES = ((15_000, 0.5), (22_000, 0.9))
PEER_AT = 100
OPENED = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
Floats = np.typing.NDArray[np.float64]


History = tuple[list[PastConcern], Silence]


def history(outcomes: int, updates: int, silent: float = 0.5) -> History:
    """One reflash a concern: not heard of since a day of the window, cured, or not cured."""
    random = np.random.default_rng(2026)
    unheard, cures = random.random(outcomes) < silent, random.random(outcomes) < CURED
    days, update = random.integers(0, WINDOW, outcomes), random.integers(1, updates + 1, outcomes)
    seen = np.column_stack([days, np.full(outcomes, WINDOW)])
    return _concerns(update, cures, ~unheard, seen), nothing_counted(WINDOW)


def honest_history(outcomes: int, updates: int) -> History:
    """The same over 540 days, heard as shops hear (tests/simulated/hearing.py)."""
    random = np.random.default_rng(2026)
    cures, update = random.random(outcomes) < CURED, random.integers(1, updates + 1, outcomes)
    age = random.integers(0, 540, outcomes)
    fates = draw_fates(honest_hearing(random), cures, random)
    seen = np.column_stack([np.zeros_like(age), np.minimum(age, WINDOW)])
    return _concerns(update, cures, fates.heard_on <= age, seen), silence_known(update, fates, age)


def _concerns(update: Ints, cures: Flags, heard: Flags, seen: Ints) -> list[PastConcern]:
    """`seen` (concerns, 2): the day last seen and the age of those not heard of."""
    return [
        PastConcern(
            i,
            (PastCandidate(u, Grade.STRONG),),
            answer_known=known,
            cured_by=u if cured and known else None,
            decided_at=OPENED,
            answered_at=OPENED + timedelta(days=WINDOW) if known else None,
            in_window=() if known else (InWindow(u, *days),),
            reflashed=(u,),
        )
        for i, (u, cured, known, days) in enumerate(
            zip(update.tolist(), cures.tolist(), heard.tolist(), seen.tolist(), strict=True)
        )
    ]


def taught(made: History) -> Learned:
    return learn(made[0], (), SETTINGS, silence=made[1])


def starts(concerns: list[PastConcern], learned: Learned, silence: Silence) -> Floats:
    """The chances, each concern left out, that the tempering is fitted on."""
    waiting = update_records(concerns, silence)[1]
    known = [(concern, ()) for concern in concerns if concern.answer_known]
    return LookingBack(learned.starts, {}, {}, learned.grades, frozenset()).rows(known, waiting)[0]


def slow_starts(concerns: list[PastConcern], silence: Silence) -> Floats:
    """Each concern's factor taken out, and what is left integrated under every beta again; h by h."""
    by_told, waiting = update_records(concerns, silence)
    each = [_slow(concerns, records, waiting, at) for at, records in enumerate(by_told)]
    return np.asarray(logit(expit(np.array(each)).mean(axis=0)))


def _slow(
    concerns: list[PastConcern], records: Mapping[int, UpdateRecord], waiting: list[Waiting], at: int
) -> Floats:
    grid = starting_grid(SETTINGS)
    odds = np.linspace(-300.0, 300.0, 12_001)
    log_p, log_q = -np.logaddexp(0.0, -odds), -np.logaddexp(0.0, odds)
    seen = {update: _written_out(record, log_p, log_q) for update, record in records.items()}
    betas = np.exp(grid.a[:, None] * log_p + grid.b[:, None] * log_q - betaln(grid.a, grid.b)[:, None])
    each = {update: _marginal(betas, log) for update, log in seen.items()}
    known = [(c.candidates[0].update_id, log_p if c.cured_by else log_q) for c in concerns if c.answer_known]
    open_ = [(w.update_id, np.log(np.exp(log_p) + np.exp(log_q) * (1 - w.told[at]))) for w in waiting]
    return np.array(
        [_left_out(grid, betas, seen[u] - gone, each, u, np.exp(log_p)) for u, gone in (*known, *open_)]
    )


def _written_out(record: UpdateRecord, log_p: Floats, log_q: Floats) -> Floats:
    total = record.cured * log_p + record.not_cured * log_q
    for v, vehicles in record.windows:
        for _ in range(vehicles):
            total = total + np.log(np.exp(log_p) + np.exp(log_q) * (1 - v))
    return np.asarray(total)


def _marginal(betas: Floats, log_seen: Floats) -> Floats:
    return np.asarray(np.log(betas @ np.exp(log_seen - log_seen.max())) + log_seen.max())


def _left_out(
    grid: Hierarchy, betas: Floats, log_left: Floats, each: dict[int, Floats], update: int, p: Floats
) -> float:
    """Logit of the mean chance from all other updates and what is left of this one."""
    others = np.log(grid.weight) + sum(log for one, log in each.items() if one != update)
    left = betas * np.exp(log_left - log_left.max())
    whole = left.sum(axis=1)
    weight = others + np.log(whole)
    return float(logit(np.exp(weight - logsumexp(weight)) @ (left @ p / whole)))


def timed(work: Callable[[], object]) -> float:
    begin = process_time()
    work()
    return process_time() - begin


def main() -> None:
    taught(history(PEER_AT, UPDATES))
    for words, few in (
        ("half of them silent", history(PEER_AT, UPDATES)),
        ("heard as shops hear", honest_history(PEER_AT, UPDATES)),
    ):
        learned = taught(few)
        quick = timed(lambda some=few, known=learned: starts(some[0], known, some[1]))  # type: ignore[misc]
        slow = timed(lambda some=few: slow_starts(*some))  # type: ignore[misc]
        apart = np.abs(starts(few[0], learned, few[1]) - slow_starts(*few)).max()
        print(f"{PEER_AT} outcomes of {UPDATES} updates, {words}, each left out once")
        print(
            f"  as the advice does {quick:.4f} s, one by one {slow:.2f} s: {slow / quick:,.0f} times as long"
        )
        print(f"  largest difference of a chance's log odds {apart:.1e}")
    print("learning, seconds of a processor (growth per outcome against the line before)")
    sizes = [int(one) for one in sys.argv[1:]] or [1_000, 4_000, 10_000, 40_000]
    made = [(f"{n:7,} over {UPDATES:2} updates, 50 % silent", n, history(n, UPDATES)) for n in sizes]
    made += [(f"{n:7,} over  1 updates, {s:.0%} silent", n, history(n, 1, s)) for n, s in FEW_UPDATES]
    made += [(f"{n:7,} over {UPDATES:2} updates, honest", n, honest_history(n, UPDATES)) for n in sizes]
    before = (0, 0.0)
    for words, outcomes, some in made:
        took = timed(lambda one=some: taught(one))  # type: ignore[misc]
        growth = (took / outcomes) / (before[1] / before[0]) if before[0] else 1.0
        before = (outcomes, took)
        print(f"  {words}: {took:6.3f} s, x{growth:.2f}")


if __name__ == "__main__":
    main()
