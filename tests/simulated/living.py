"""What a simulated shop lives on its concerns, and what is on file of them by a day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import numpy as np

from kb.advice.planning.choosing_steps import next_step
from kb.advice.planning.plan import DIAGNOSE, Solution
from kb.nouns.advice import InWindow, PastCandidate, PastConcern, PastFinding
from kb.nouns.concerns import FindingResult
from kb.outcomes.silence import Silence, nothing_counted
from tests.simulated.hearing import NEVER, WINDOW, Fates, Hearing, draw_fates, silence_known
from tests.simulated.shops import Case, Shop

START = datetime(2026, 1, 5, 9, tzinfo=UTC)
FOLLOWED = 0.7
"""Concerns on which the advice is followed; on half of the others the likeliest update goes in at once, the
other half is diagnosed."""
FATES = ("fails_on", "heard_on", "unasked")


def lived(shop: Shop, case: Case, plan: Solution, checks: tuple[int, ...], number: int) -> PastConcern:
    """What the shop sees when it follows the plan on this concern."""
    opened, code, tried = START + timedelta(hours=number), 0, 0
    findings: list[PastFinding] = []
    decided = None
    while True:
        at = opened + timedelta(minutes=5 * len(findings) + (60 if tried else 0))
        step = next_step(plan, code, tried)
        if step >= len(case.updates):
            i = checks[step - len(case.updates)]
            said = FindingResult.YES if case.results[i] else FindingResult.NO
            findings.append(PastFinding(shop.guesses[i].key, said, at, case.updates))
            code += (1 if case.results[i] else 2) * 3 ** (step - len(case.updates))
            continue
        decided = decided or at
        if step == DIAGNOSE or case.updates[step] == case.cause:
            break
        tried |= 1 << step
    graded = tuple(PastCandidate(u, g) for u, g in zip(case.updates, case.grades, strict=True))
    answered = at + timedelta(days=1)
    return PastConcern(number, graded, True, case.cause, False, decided, answered, tuple(findings))


@dataclass(frozen=True, slots=True)
class Installed:
    """An update that went in at a moment, what becomes of it, and the shop's day on which it hears of it."""

    update: int
    at: datetime
    fate: Fates
    heard_on: int


@dataclass
class Life:
    """One concern of the honest world, everything that ever comes of it."""

    case: Case
    findings: list[PastFinding] = field(default_factory=list)
    reflashes: list[Installed] = field(default_factory=list)
    concluded: datetime | None = None

    def on_file(self, number: int, today: int) -> PastConcern:
        """As the shop knows it on a day: what it has heard, and the silence of the others."""
        cause, done = self.case.cause, [one for one in self.reflashes if _day(one.at) <= today]
        heard = {one.update for one in done if one.heard_on <= today}
        concluded = self.concluded if self.concluded and _day(self.concluded) <= today else None
        other = concluded is not None and cause is None
        moments = [*(one.at for one in done), *([concluded] if concluded else [])]
        return PastConcern(
            number,
            tuple(PastCandidate(u, g) for u, g in zip(self.case.updates, self.case.grades, strict=True)),
            other or cause in heard or heard >= set(self.case.updates),
            cause if cause in heard else None,
            decided_at=min(moments, default=None),
            answered_at=max(moments, default=None),
            findings=tuple(one for one in self.findings if _day(one.recorded_at) <= today),
            in_window=tuple(
                InWindow(one.update, 0, min(today - _day(one.at), WINDOW))
                for one in done
                if one.update not in heard
            ),
            reflashed=tuple(one.update for one in done),
        )


def live(
    shop: Shop,
    case: Case,
    plan: tuple[Solution, tuple[int, ...]],
    day: int,
    hearing: Hearing,
    random: np.random.Generator,
) -> Life:
    """A concern that comes in on a day. Its plan (with its checks in the shop's order) goes on at each visit.

    A reflash that does not cure and fails on the road leaves with the vehicle; what follows, follows when the
    shop hears of it.
    """
    (solution, checks), life = plan, Life(case)
    updates, code, tried = len(case.updates), 0, 0
    at = START + timedelta(days=day)
    habit = None if random.random() < FOLLOWED else DIAGNOSE if random.random() < 0.5 else 0
    while True:
        at += timedelta(minutes=5)
        step = next_step(solution, code, tried) if habit is None or (tried and habit == 0) else habit
        if step >= updates:
            i = checks[step - updates]
            said = FindingResult.YES if case.results[i] else FindingResult.NO
            life.findings.append(PastFinding(shop.guesses[i].key, said, at, case.updates))
            code += (1 if case.results[i] else 2) * 3 ** (step - updates)
            continue
        if step == DIAGNOSE:
            life.concluded = at
            if case.cause is not None:
                _install(life, case.cause, at, hearing, random)
            return life
        again = _install(life, case.updates[step], at, hearing, random)
        tried |= 1 << step
        if case.updates[step] == case.cause or again == NEVER:
            return life
        at = max(at, START + timedelta(days=again))


def _install(life: Life, update: int, at: datetime, hearing: Hearing, random: np.random.Generator) -> int:
    """The day on which the shop hears how it went."""
    fate = draw_fates(hearing, np.array([update == life.case.cause]), random)
    heard = int(fate.heard_on[0])
    life.reflashes.append(Installed(update, at, fate, NEVER if heard == NEVER else _day(at) + heard))
    return life.reflashes[-1].heard_on


def _day(at: datetime) -> int:
    return (at - START).days


def silence_on_file(lives: Sequence[Life], today: int) -> Silence:
    """What silence says by everything that the shop has reflashed and heard up to a day."""
    done = [one for life in lives for one in life.reflashes if _day(one.at) <= today]
    if not done:
        return nothing_counted(WINDOW)
    fates = Fates(*(np.concatenate([getattr(one.fate, name) for one in done]) for name in FATES))
    age = np.array([today - _day(one.at) for one in done])
    return silence_known(np.array([one.update for one in done]), fates, age)
