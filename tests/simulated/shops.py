"""Simulated shops to judge the advice by: what is true in them is known. Every range is invented.

Ranges (uniform unless said otherwise): updates' cure chances Beta with mean .3 to .6 and strength 3 to 12;
checks' yes where not cured .15 to .7, the log odds ratio of cured .7 to 3 either way; reflash 90 to 220,
diagnosis 250 to 600, rework 60 to 250, checks 6 to 30 minutes at 150 an hour. The lead's guess of a check's
two chances is off by a normal error of sd .7 in log odds, and is held at a weight of 8 vehicles.

The kind world has ten updates that come up alike. The honest one has forty, of which most have had three
outcomes when the shop has had a hundred or two, and complaints of two kinds under the same words: an update
may cure the surge and not the stall, and findings go together by kind. The log odds of a cure lie normally
by sd 1 on either side of their middle, those of a check by sd .5.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, logit

from kb.nouns.advice import CheckDefinition, Guess
from kb.nouns.notes import Grade

Floats = NDArray[np.float64]
UPDATES, CHECKS = 10, 6
HONEST_UPDATES = 40
CURE_BY_KIND, CHECK_BY_KIND = 1.0, 0.5
GRADES = (Grade.STRONG, Grade.PARTIAL, Grade.WEAK)
GRADE_IF_CURED, GRADE_IF_NOT = (0.5, 0.35, 0.15), (0.3, 0.4, 0.3)
GUESS_ERROR, GUESS_WEIGHT = 0.7, 8.0
LABOR_RATE = 150.0
TWO_CANDIDATES = 0.25


@dataclass(frozen=True, slots=True)
class Shop:
    """What is true in one shop, by kind of complaint.

    `kinds` (kinds,) are their shares, `cures` (kinds, updates), `yes` (kinds, checks, 2) where an update
    cured, where not. `often` (updates,) is how often each comes up.

    `copied` is the chance that check 1 merely repeats check 0 (0: findings independent given cause and kind).
    """

    kinds: Floats
    cures: Floats
    yes: Floats
    often: Floats
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
    """A shop of the kind world, drawn from the stated ranges."""
    cures = _cures(random, UPDATES)
    yes = _yes(random)
    if copied:
        yes[1] = yes[0]
    return _shop(random, (np.ones(1), cures[None], yes[None], np.full(UPDATES, 1 / UPDATES)), copied)


def open_honest_shop(random: np.random.Generator) -> Shop:
    """A shop of the honest world, drawn from the stated ranges."""
    share = random.uniform(0.3, 0.7)
    sides = np.array([0.5, -0.5])
    cures, yes = logit(_cures(random, HONEST_UPDATES)), logit(_yes(random))
    apart = (
        random.normal(0.0, 2 * CURE_BY_KIND, cures.shape),
        random.normal(0.0, 2 * CHECK_BY_KIND, yes.shape),
    )
    by_kind = expit(cures + sides[:, None] * apart[0]), expit(yes + sides[:, None, None] * apart[1])
    often = random.gamma(1.0, size=HONEST_UPDATES)
    return _shop(random, (np.array([share, 1 - share]), *by_kind, often / often.sum()))


def _cures(random: np.random.Generator, updates: int) -> Floats:
    mean, strength = random.uniform(0.3, 0.6), random.uniform(3.0, 12.0)
    return np.clip(random.beta(mean * strength, (1 - mean) * strength, updates), 0.01, 0.99)


def _yes(random: np.random.Generator) -> Floats:
    base = random.uniform(0.15, 0.7, CHECKS)
    shift = random.uniform(0.7, 3.0, CHECKS) * random.choice([-1.0, 1.0], CHECKS)
    return np.asarray(expit(np.stack([logit(base) + shift, logit(base)], axis=1)))


def _shop(
    random: np.random.Generator, truth: tuple[Floats, Floats, Floats, Floats], copied: float = 0.0
) -> Shop:
    """The lead's guesses are of all kinds together."""
    yes = truth[0] @ truth[2].reshape(truth[0].size, -1)
    guessed = expit(logit(yes) + random.normal(0.0, GUESS_ERROR, yes.shape)).reshape(CHECKS, 2)
    minutes = random.uniform(6.0, 30.0, CHECKS)
    guesses = tuple(_definition(i, guessed[i], float(minutes[i])) for i in range(CHECKS))
    reflash, diagnosis, rework = random.uniform([90.0, 250.0, 60.0], [220.0, 600.0, 250.0])
    return Shop(*truth, guesses, float(reflash), float(diagnosis), float(rework), copied)


def _definition(number: int, guessed: Floats, minutes: float) -> CheckDefinition:
    """The lead's guess: k of 10 such that Beta(w (k + 1/2) / 11, ...) has the guessed mean."""
    cured, other = (Guess(float(np.clip(11 * p - 0.5, 0, 10)), GUESS_WEIGHT) for p in guessed)
    return CheckDefinition(f"check-{number}", f"Check {number}", cured, other, minutes=minutes)


def true_shares(shop: Shop, updates: tuple[int, ...]) -> Floats:
    """True chance of each kind with each cause before anything is seen: (kinds, updates and something else).

    The updates of a concern share by their odds.
    """
    cures = shop.cures[:, list(updates)]
    odds = np.column_stack([cures / (1 - cures), np.ones(shop.kinds.size)])
    return np.asarray(shop.kinds[:, None] * odds / odds.sum(axis=1, keepdims=True))


def open_case(shop: Shop, random: np.random.Generator) -> Case:
    """A concern that comes in, with one candidate or two, and everything that would be found."""
    count = 2 if random.random() < TWO_CANDIDATES else 1
    updates = tuple(int(u) for u in random.choice(shop.often.size, count, replace=False, p=shop.often))
    kind, at = divmod(
        int(random.choice(shop.kinds.size * (count + 1), p=true_shares(shop, updates).ravel())), count + 1
    )
    cause = updates[at] if at < count else None
    grades = tuple(
        GRADES[random.choice(3, p=GRADE_IF_CURED if u == cause else GRADE_IF_NOT)] for u in updates
    )
    results = random.random(CHECKS) < shop.yes[kind, :, 0 if cause is not None else 1]
    if random.random() < shop.copied:
        results[1] = results[0]
    return Case(updates, grades, cause, tuple(bool(r) for r in results))


def result_table(shop: Shop) -> Floats:
    """True P(all results | kind, cured or not): (kinds, 2**CHECKS, 2); bit i of a row is set by a yes."""
    rows = np.arange(2**CHECKS)
    said = ((rows[:, None] >> np.arange(CHECKS)) & 1)[:, :, None] == 1
    chance = np.where(said, shop.yes[:, None], 1 - shop.yes[:, None])
    apart = chance.prod(axis=2)
    same = said[:, 0] == said[:, 1]
    together = np.delete(chance, 1, axis=2).prod(axis=2) * same
    return np.asarray((1 - shop.copied) * apart + shop.copied * together)
