"""How long plans, advice and learning take. Run: python -m tests.bench.plan

Times are wall and processor milliseconds on this machine; the peak is of the whole process.
"""

from __future__ import annotations

import resource
import time
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

import numpy as np

from kb.advice.advise import advise
from kb.advice.chances.learn import learn
from kb.advice.planning.plan import solve
from kb.advice.planning.problem import PlanCheck, PlanUpdate, Problem
from kb.nouns.advice import (
    AdviceSettings,
    CalibrationStatus,
    CandidateInHand,
    CheckDefinition,
    CheckInHand,
    ConcernInHand,
    Guess,
    PastCandidate,
    PastConcern,
    PastFinding,
)
from kb.nouns.concerns import FindingResult
from kb.nouns.notes import Grade
from kb.nouns.starting_checks import STARTING_CHECKS

DAY = datetime(2026, 1, 5, 9, tzinfo=UTC)
CHECKS = tuple(
    CheckDefinition(
        c.key,
        c.name,
        Guess(c.yes_in_10_cured, 8),
        Guess(c.yes_in_10_not, 8),
        c.question,
        c.yes_word,
        c.no_word,
        c.minutes,
        c.wait_minutes,
        group=c.group,
    )
    for c in STARTING_CHECKS
)


def timed(times: int, work: Callable[[int], object]) -> str:
    wall, processor = [], []
    for i in range(times):
        w, p = time.perf_counter(), time.process_time()
        work(i)
        wall.append(1e3 * (time.perf_counter() - w))
        processor.append(1e3 * (time.process_time() - p))
    parts = [
        f"{name} p50 {np.median(x):7.1f} p95 {np.quantile(x, 0.95):7.1f}"
        for name, x in (("wall", wall), ("cpu", processor))
    ]
    return "   ".join(parts)


def problem(random: np.random.Generator, checks: int, updates: int, *, strong: bool = False) -> Problem:
    chances = random.dirichlet(np.ones(updates + 1))
    planned = tuple(
        PlanUpdate(str(k), float(chances[k]), float(random.uniform(90, 260))) for k in range(updates)
    )
    asked = []
    for i in range(checks):
        down = float(random.uniform(0.02, 0.1) if strong else random.uniform(0.15, 0.6))
        up = float(random.uniform(0.9, 0.98) if strong else random.uniform(0.1, 0.9))
        yes = tuple(up if random.random() < 0.7 else down for _ in range(updates))
        asked.append(
            PlanCheck(str(i), (*yes, down), float(random.uniform(1, 4) if strong else random.uniform(10, 60)))
        )
    return Problem(planned, tuple(asked), 375.0, 155.0)


def concern(random: np.random.Generator, updates: int) -> ConcernInHand:
    grades = (Grade.STRONG, Grade.PARTIAL, Grade.WEAK)
    candidates = tuple(
        CandidateInHand(
            k + 1,
            f"PB-{k + 1}",
            f"Update {k + 1}",
            "ECM",
            grades[k],
            status=CalibrationStatus.SUPERSEDED,
            looked_up_on=date(2026, 11, 1),
        )
        for k in range(updates)
    )
    checks = tuple(
        CheckInHand(
            d,
            tuple(c.note_id for c in candidates if random.random() < 0.8),
            FindingResult.YES if random.random() < 0.1 else FindingResult.NOT_DONE,
        )
        for d in CHECKS
    )
    return ConcernInHand(int(random.integers(1, 10**6)), date(2026, 11, 20), candidates, checks)


def history(random: np.random.Generator, concerns: int, updates: int) -> list[PastConcern]:
    truth = random.beta(2, 2, updates + 1)
    past = []
    for i in range(concerns):
        first = int(random.integers(1, updates + 1))
        cured = bool(random.random() < truth[first])
        opened = DAY + timedelta(hours=i)
        findings = tuple(
            PastFinding(
                d.key,
                FindingResult.YES
                if random.random() < (d.yes_if_cured.k if cured else d.yes_if_not.k) / 10
                else FindingResult.NO,
                opened + timedelta(minutes=10),
                (first,),
            )
            for d in (CHECKS[j] for j in random.choice(len(CHECKS), 6, replace=False))
        )
        graded = (PastCandidate(first, Grade.PARTIAL),)
        past.append(
            PastConcern(
                i,
                graded,
                True,
                first if cured else None,
                False,
                opened + timedelta(hours=2),
                opened + timedelta(days=90),
                findings,
            )
        )
    return past


def timed_plans(kind: str, problems: list[Problem]) -> None:
    solve(problems[0])  # builds the kept table of states
    told = timed(len(problems), lambda i: solve(problems[i]))
    print(f"plan {len(problems[0].checks):2} x {len(problems[0].updates)} {kind:14} {told}")


def peak() -> str:
    return f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB"


def main() -> None:
    random = np.random.default_rng(1)
    for checks, updates in ((8, 1), (8, 3), (10, 3), (12, 1), (12, 2), (12, 3)):
        timed_plans("typical", [problem(random, checks, updates) for _ in range(12)])
    timed_plans("cheap, strong", [problem(random, 12, 3, strong=True) for _ in range(12)])
    print(f"peak memory of plans {peak()}")
    settings = AdviceSettings()
    for size, updates in ((900, 40), (100_000, 3000)):
        past = history(random, size, updates)
        told = timed(1, lambda _, past=past: learn(past, CHECKS, settings))
        print(f"learn {size:6} concerns        {told}")
    learned = learn(history(random, 900, 40), CHECKS, settings)
    for updates in (1, 2, 3):
        concerns = [concern(random, updates) for _ in range(20)]
        told = timed(20, lambda i, concerns=concerns: advise(concerns[i], learned, settings))
        print(f"advise 25 checks x {updates}       {told}")
    print(f"peak memory with 100,000 concerns held as values {peak()}")


if __name__ == "__main__":
    main()
