"""Simulated shops to judge the advice by: what is true in them is known. Every range is invented.

Ranges (uniform unless said otherwise): updates' cure chances Beta with mean .3 to .6 and strength 3 to 12;
checks' yes where not cured .15 to .7, the log odds ratio of cured .7 to 3 either way; reflash 90 to 220,
diagnosis 250 to 600, rework 60 to 250, checks 6 to 30 minutes at 150 an hour. The lead's guess of a check's
two chances is off by a normal error of sd .7 in log odds, and is held at a weight of 8 vehicles.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kb.nouns.advice import CheckDefinition, Guess
from kb.nouns.notes import Grade

Floats = NDArray[np.float64]
UPDATES, CHECKS = 10, 6
GRADES = (Grade.STRONG, Grade.PARTIAL, Grade.WEAK)
GRADE_IF_CURED, GRADE_IF_NOT = (0.5, 0.35, 0.15), (0.3, 0.4, 0.3)
GUESS_ERROR, GUESS_WEIGHT = 0.7, 8.0
LABOR_RATE = 150.0
TWO_CANDIDATES = 0.25


@dataclass(frozen=True, slots=True)
class Shop:
    """What is true in one shop. `yes` is (checks, 2): where an update cured, where not.

    `copied` is the chance that check 1 merely repeats check 0 (0: all findings independent given the cause).
    """

    cures: Floats
    yes: Floats
    guesses: tuple[CheckDefinition, ...]
    reflash: float
    diagnosis: float
    rework: float
    copied: float = 0.0


@dataclass(frozen=True, slots=True)
class Case:
    """One concern as it truly is: candidates, their grades, the cause (None: something else), all results."""

    updates: tuple[int, ...]
    grades: tuple[Grade, ...]
    cause: int | None
    results: tuple[bool, ...]


def open_shop(random: np.random.Generator, copied: float = 0.0) -> Shop:
    """A shop drawn from the stated ranges."""
    mean, strength = random.uniform(0.3, 0.6), random.uniform(3.0, 12.0)
    cures = np.clip(random.beta(mean * strength, (1 - mean) * strength, UPDATES), 0.01, 0.99)
    base = random.uniform(0.15, 0.7, CHECKS)
    shift = random.uniform(0.7, 3.0, CHECKS) * random.choice([-1.0, 1.0], CHECKS)
    log_odds = np.log(base / (1 - base))
    yes = 1 / (1 + np.exp(-np.stack([log_odds + shift, log_odds], axis=1)))
    if copied:
        yes[1] = yes[0]
    guessed = 1 / (1 + np.exp(-(np.log(yes / (1 - yes)) + random.normal(0.0, GUESS_ERROR, yes.shape))))
    minutes = random.uniform(6.0, 30.0, CHECKS)
    guesses = tuple(_definition(i, guessed[i], float(minutes[i])) for i in range(CHECKS))
    reflash, diagnosis, rework = random.uniform([90.0, 250.0, 60.0], [220.0, 600.0, 250.0])
    return Shop(cures, yes, guesses, float(reflash), float(diagnosis), float(rework), copied)


def _definition(number: int, guessed: Floats, minutes: float) -> CheckDefinition:
    """The lead's guess: k of 10 such that Beta(w (k + 1/2) / 11, ...) has the guessed mean."""
    cured, other = (Guess(float(np.clip(11 * p - 0.5, 0, 10)), GUESS_WEIGHT) for p in guessed)
    return CheckDefinition(f"check-{number}", f"Check {number}", cured, other, minutes=minutes)


def true_shares(shop: Shop, updates: tuple[int, ...]) -> Floats:
    """True chance of each cause before anything is seen: the updates by odds, then something else."""
    odds = shop.cures[list(updates)] / (1 - shop.cures[list(updates)])
    return np.asarray(np.append(odds, 1.0) / (1.0 + odds.sum()))


def open_case(shop: Shop, random: np.random.Generator) -> Case:
    """A concern that comes in, with one candidate or two, and everything that would be found."""
    count = 2 if random.random() < TWO_CANDIDATES else 1
    updates = tuple(int(u) for u in random.choice(UPDATES, count, replace=False))
    at = int(random.choice(count + 1, p=true_shares(shop, updates)))
    cause = updates[at] if at < count else None
    grades = tuple(
        GRADES[random.choice(3, p=GRADE_IF_CURED if u == cause else GRADE_IF_NOT)] for u in updates
    )
    results = random.random(CHECKS) < shop.yes[:, 0 if cause is not None else 1]
    if random.random() < shop.copied:
        results[1] = results[0]
    return Case(updates, grades, cause, tuple(bool(r) for r in results))


def result_table(shop: Shop) -> Floats:
    """True P(all results | cured, not cured). Shape (2**CHECKS, 2); bit i of the row is set by a yes."""
    rows = np.arange(2**CHECKS)
    said = (rows[:, None] >> np.arange(CHECKS)) & 1
    chance = np.where(said[:, :, None] == 1, shop.yes, 1 - shop.yes)
    apart = chance.prod(axis=1)
    together = np.delete(chance, 1, axis=1).prod(axis=1) * (said[:, 0] == said[:, 1])[:, None]
    return np.asarray((1 - shop.copied) * apart + shop.copied * together)
