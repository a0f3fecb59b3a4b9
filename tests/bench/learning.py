"""How long learning takes as outcomes add up: python -m tests.bench.learning.

Invented histories, most over 20 updates with half of the vehicles not heard of; learned is all that the
advice rests on (kb/advice/learn.py). The peer is the same leave-one-out chances one by one: for every
concern its update's likelihood integrated again, on a fine grid of the chance, without its factor.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from time import process_time

import numpy as np
from scipy.special import betaln, logit, logsumexp

from kb.advice.belief import Hierarchy, UpdateRecord, starting_grid
from kb.advice.learn import Learned, learn, update_records
from kb.advice.looking_back import LookingBack
from kb.nouns.advice import AdviceSettings, InWindow, PastCandidate, PastConcern
from kb.nouns.notes import Grade
from kb.outcomes.silence import nothing_counted

SETTINGS = AdviceSettings()
UPDATES, WINDOW = 20, 90
PEER_AT = 300
OPENED = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
Floats = np.typing.NDArray[np.float64]


def history(outcomes: int, updates: int, silent: float = 0.5) -> list[PastConcern]:
    """One reflash a concern: not heard of since a day of the window, cured, or not cured."""
    random = np.random.default_rng(2026)
    unheard, cures = random.random(outcomes) < silent, random.random(outcomes) < 0.7
    days, update = random.integers(0, WINDOW, outcomes), random.integers(1, updates + 1, outcomes)
    return [
        PastConcern(
            i,
            (PastCandidate(int(update[i]), Grade.STRONG),),
            answer_known=not unheard[i],
            cured_by=int(update[i]) if cures[i] and not unheard[i] else None,
            decided_at=OPENED,
            answered_at=None if unheard[i] else OPENED + timedelta(days=WINDOW),
            in_window=(InWindow(int(update[i]), int(days[i]), WINDOW),) if unheard[i] else (),
            reflashed=(int(update[i]),),
        )
        for i in range(outcomes)
    ]


def taught(concerns: list[PastConcern]) -> Learned:
    return learn(concerns, (), SETTINGS)


def starts(concerns: list[PastConcern], learned: Learned) -> Floats:
    """The chances, each concern left out, that the tempering is fitted on."""
    records, waiting = update_records(concerns, nothing_counted(WINDOW))
    known = [(concern, ()) for concern in concerns if concern.answer_known]
    looking = LookingBack(learned.common, records, {}, {}, learned.grades, frozenset())
    return looking.rows(known, waiting)[0]


def slow_starts(concerns: list[PastConcern]) -> Floats:
    """Each concern's factor taken out, and what is left integrated under every beta again."""
    records, waiting = update_records(concerns, nothing_counted(WINDOW))
    grid = starting_grid(SETTINGS)
    odds = np.linspace(-300.0, 300.0, 12_001)
    log_p, log_q = -np.logaddexp(0.0, -odds), -np.logaddexp(0.0, odds)
    seen = {update: _written_out(record, log_p, log_q) for update, record in records.items()}
    betas = np.exp(grid.a[:, None] * log_p + grid.b[:, None] * log_q - betaln(grid.a, grid.b)[:, None])
    each = {update: _marginal(betas, log) for update, log in seen.items()}
    known = [(c.candidates[0].update_id, log_p if c.cured_by else log_q) for c in concerns if c.answer_known]
    open_ = [(w.update_id, np.log(np.exp(log_p) + np.exp(log_q) * (1 - w.told))) for w in waiting]
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
    few = history(PEER_AT, UPDATES)
    learned = taught(few)
    quick, slow = timed(lambda: starts(few, learned)), timed(lambda: slow_starts(few))
    apart = np.abs(starts(few, learned) - slow_starts(few)).max()
    print(f"{PEER_AT} outcomes of {UPDATES} updates, half of them silent, each left out once")
    print(f"  as the advice does {quick:.4f} s, one by one {slow:.2f} s: {slow / quick:,.0f} times as long")
    print(f"  largest difference of a chance's log odds {apart:.1e}")
    print("learning, seconds of a processor (growth per outcome against the line before)")
    before = (0, 0.0)
    for outcomes, updates, silent in (
        *((int(one), UPDATES, 0.5) for one in sys.argv[1:] or (1_000, 4_000, 10_000, 40_000)),
        (15_000, 1, 0.5),
        (22_000, 1, 0.9),
    ):
        concerns = history(outcomes, updates, silent)
        took = timed(lambda some=concerns: taught(some))  # type: ignore[misc]
        growth = (took / outcomes) / (before[1] / before[0]) if before[0] else 1.0
        before = (outcomes, took)
        size = f"{outcomes:7,} over {updates:2} updates, {100 * silent:.0f} % silent"
        print(f"  {size}: {took:6.3f} s, x{growth:.2f}")


if __name__ == "__main__":
    main()
