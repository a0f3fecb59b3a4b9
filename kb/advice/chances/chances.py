"""The chance of each candidate: starting belief, evidence, tempering, sharing, and draws of all of it."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import logit

from kb.advice.chance_sentences import guess_of_check, guess_of_grade, guess_of_start, start_said
from kb.advice.chances import evidence, starting_chance
from kb.advice.chances.belief import Floats, UpdateRecord
from kb.advice.chances.evidence import CheckBelief
from kb.advice.chances.learn import Learned
from kb.advice.chances.shared_chance import shares
from kb.advice.chances.still_a_guess import check_is_guess, grade_is_guess, start_is_guess
from kb.nouns.advice import (
    AdviceSettings,
    CandidateInHand,
    CheckInHand,
    ConcernInHand,
    Evidence,
    EvidenceCounts,
)
from kb.nouns.concerns import FindingResult
from kb.nouns.notes import Grade
from kb.nouns.recorded_words import result_word


@dataclass(frozen=True, slots=True)
class Chances:
    """Of each candidate, in order: starting mean, chance alone, share, draws of the share, and why.

    `shares` has one more at the end, something else. `draws` is (draws, K).
    """

    starting: tuple[float, ...]
    alone: tuple[float, ...]
    shares: tuple[float, ...]
    draws: Floats
    evidence: tuple[tuple[Evidence, ...], ...]


def seed(concern_id: int, revision: int) -> int:
    """The seed of a concern's draws: the same for the same concern and evidence, on every machine."""
    return int.from_bytes(hashlib.sha256(f"{concern_id}:{revision}".encode()).digest()[:8], "big")


def counted_findings(concern: ConcernInHand, learned: Learned) -> tuple[list[CheckInHand], dict[str, str]]:
    """Findings that are evidence here, and those set aside for a stronger one that tells much the same."""
    said = [
        c for c in concern.checks if c.result in evidence.COUNTED and c.attached_to and not c.answered_already
    ]
    strengths = {c.definition.key: belief_of(learned, c).strength for c in said}
    aside = evidence.stronger_only(strengths, strengths, learned.alike)
    return said, aside


def belief_of(learned: Learned, check: CheckInHand) -> CheckBelief:
    """What was learned of a check, or its definition's guess where it is newer than what was learned."""
    known = learned.checks.get(check.definition.key)
    return known or evidence.check_belief(check.definition, EvidenceCounts())


def speaks_of(check: CheckInHand, candidate: CandidateInHand) -> bool:
    """Whether the check speaks for this candidate, or for an older update that was merged into it."""
    return not {candidate.note_id, *candidate.merged}.isdisjoint(check.attached_to)


def chances(
    concern: ConcernInHand, candidates: Sequence[CandidateInHand], learned: Learned, settings: AdviceSettings
) -> Chances:
    """Chances at the belief means; draws of every belief and of the tempering beside them."""
    said, aside = counted_findings(concern, learned)
    fit = learned.tempering
    random = np.random.default_rng(seed(concern.concern_id, learned.revision))
    a, b = fit.draws(settings.draws, random)
    ratios = {c.definition.key: _ratio_draws(learned, c, settings.draws, random) for c in said}
    starts, alone, reasons, drawn = [], [], [], []
    for candidate in candidates:
        record = learned.record(candidate.note_id)
        start = starting_chance.mean(learned.starts, candidate.note_id)
        why = (
            *_beginnings(candidate, record, start, learned, settings),
            *_pushes(candidate, said, aside, learned),
        )
        starts.append(start)
        reasons.append(why)
        alone.append(sum(e.log_odds for e in why))
        push = _grade_draws(learned, candidate, settings.draws, random)
        for check in said:
            if check.definition.key not in aside and speaks_of(check, candidate):
                push = push + ratios[check.definition.key]
        start_draws = starting_chance.draws(learned.starts, candidate.note_id, settings.draws, random)
        drawn.append(logit(np.clip(start_draws, 1e-12, 1 - 1e-12)) + a + b * push)
    log_odds = np.array(alone)
    return Chances(
        tuple(starts),
        tuple(1.0 / (1.0 + math.exp(-x)) for x in alone),
        tuple(float(x) for x in shares(log_odds)),
        shares(np.array(drawn).reshape(len(candidates), settings.draws).T)[:, :-1],
        tuple(reasons),
    )


def _ratio_draws(learned: Learned, check: CheckInHand, count: int, random: np.random.Generator) -> Floats:
    known = belief_of(learned, check)
    up = random.beta(known.yes_if_cured.alpha, known.yes_if_cured.beta, count)
    down = random.beta(known.yes_if_not.alpha, known.yes_if_not.beta, count)
    up, down = np.clip(up, 1e-9, 1 - 1e-9), np.clip(down, 1e-9, 1 - 1e-9)
    if check.result is FindingResult.YES:
        return np.asarray(np.log(up / down))
    return np.asarray(np.log1p(-up) - np.log1p(-down))


def _grade_draws(
    learned: Learned, candidate: CandidateInHand, count: int, random: np.random.Generator
) -> Floats:
    i = evidence.GRADES.index(candidate.grade)
    up = random.dirichlet(learned.grades.if_cured, count)[:, i]
    down = random.dirichlet(learned.grades.if_not, count)[:, i]
    return np.asarray(np.log(np.maximum(up, 1e-9) / np.maximum(down, 1e-9)))


def _beginnings(
    candidate: CandidateInHand,
    record: UpdateRecord,
    start: float,
    learned: Learned,
    settings: AdviceSettings,
) -> tuple[Evidence, ...]:
    """What is known before any finding. With the findings it adds up to the log odds of the chance alone."""
    told = starting_chance.terms(learned.starts, candidate.note_id)
    begun = Evidence(
        "Starting belief",
        "",
        math.log(start / (1 - start)),
        EvidenceCounts(cured=round(record.cured), not_cured=round(record.not_cured)),
        start_is_guess(learned.own_answers(candidate.note_id), settings),
        "start",
        guess=guess_of_start(settings, learned.of_updates),
        silent=told.silent,
        adds_up=start_said(told),
    )
    past = EvidenceCounts(cured=learned.closed)
    came_out = Evidence("How past advice came out", "", learned.tempering.a, past, False, "past")
    return (begun, _match(candidate.grade, learned, settings), *[came_out] * bool(learned.closed))


def _match(grade: Grade, learned: Learned, settings: AdviceSettings) -> Evidence:
    grades, i = learned.grades, evidence.GRADES.index(grade)
    return Evidence(
        "Search match",
        grade.value,
        learned.tempering.b * grades.log_ratio(grade),
        EvidenceCounts(grades.cured[i], sum(grades.cured), grades.not_cured[i], sum(grades.not_cured)),
        grade_is_guess(grades, settings),
        "grade",
        guess=guess_of_grade(settings, grades.before_answers, i),
    )


def _pushes(
    candidate: CandidateInHand, said: Sequence[CheckInHand], aside: dict[str, str], learned: Learned
) -> Iterator[Evidence]:
    names = {c.definition.key: c.definition.name for c in said}
    return (_reason(check, candidate, aside, names, learned) for check in said)


def _reason(
    check: CheckInHand,
    candidate: CandidateInHand,
    aside: dict[str, str],
    names: dict[str, str],
    learned: Learned,
) -> Evidence:
    key, known = check.definition.key, belief_of(learned, check)
    said_yes = check.result is FindingResult.YES
    word = result_word(check.definition, check.result)
    push, remark = learned.tempering.b * evidence.log_ratio(known, said_yes), ""
    if key in aside:
        push, remark = 0.0, f"tells much the same as {names[aside[key]]}, which counts"
    elif not speaks_of(check, candidate):
        push, remark = 0.0, "says nothing of this update"
    elif check.by_words:
        remark = "the complaint says so; nobody looked yet"
    guess = guess_of_check(check.definition)
    is_guess = check_is_guess(check.definition, known.counts)
    return Evidence(check.definition.name, word, push, known.counts, is_guess, key, remark, guess)
