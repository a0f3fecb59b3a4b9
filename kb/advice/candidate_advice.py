"""What is advised of each candidate: its chance, its zones, what speaks for and against it, its ways."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from kb.advice.before_plan.speaks_against import met_against
from kb.advice.chance_sentences import GUESSES, MOSTLY_GUESSES, chance_sentence
from kb.advice.chances.chances import Chances
from kb.advice.chances.learn import Learned
from kb.advice.planning import costs
from kb.advice.planning.choosing_steps import smaller
from kb.advice.planning.problem import Problem
from kb.advice.planning.problem_of_concern import Decision
from kb.advice.planning.zones import agreeing, chance_zones
from kb.advice.ways_said import ways_sentence
from kb.nouns.advice import (
    AdviceSettings,
    Against,
    CandidateAdvice,
    CandidateInHand,
    ConcernInHand,
    Zones,
)


def advised_of(
    concern: ConcernInHand,
    candidates: Sequence[CandidateInHand],
    found: Chances,
    decision: Decision,
    first: int,
    learned: Learned,
    settings: AdviceSettings,
    to_settle: bool,
) -> tuple[CandidateAdvice, ...]:
    """What is advised of each candidate; `first` is the plan's first step."""
    edges = _edges(decision.problem, first, settings)
    done = {check.definition.key: check for check in concern.checks}
    return tuple(
        replace(
            _candidate(k, one, found, decision.problem, edges[k], learned, met_against(one, done), to_settle),
            ways=decision.prices.ways[k],
            ways_sentence=ways_sentence(decision.prices.ways[k], settings.currency),
        )
        for k, one in enumerate(candidates)
    )


def _edges(problem: Problem, first: int, settings: AdviceSettings) -> tuple[Zones, ...]:
    """Zones by update, in which each chance lies where the first step says."""
    few = smaller(problem, settings.zone_checks)
    zones = [chance_zones(few, k) for k in range(len(problem.updates))]
    if settings.quickest_first:
        zones = [agreeing(zone, problem.chances[k], first, k) for k, zone in enumerate(zones)]
    return tuple(zones)


def _candidate(
    k: int,
    candidate: CandidateInHand,
    found: Chances,
    problem: Problem,
    zones: Zones,
    learned: Learned,
    against: tuple[Against, ...],
    to_settle: bool,
) -> CandidateAdvice:
    chance, draws = found.shares[k], found.draws[:, k]
    low, high = np.quantile(draws, (0.05, 0.95)).tolist()
    cost = problem.updates[k].cost + problem.shared
    threshold = costs.reflash_threshold(cost, problem.rework, problem.diagnosis)
    record = learned.record(candidate.note_id)
    is_guess = any(one.is_guess for one in found.evidence[k] if one.key == "start")
    guess, interval = _guess_said(learned, is_guess), (low, high)
    return CandidateAdvice(
        candidate.note_id,
        candidate.number,
        candidate.title,
        chance,
        found.alone[k],
        interval,
        threshold,
        zones,
        _steadiness(chance, draws, zones),
        candidate.record,
        found.starting[k],
        (record.cured, record.known),
        found.evidence[k],
        chance_sentence(
            chance, interval, zones, settled=not to_settle, guess=guess, ids_known=candidate.ids_known
        ),
        is_guess,
        against,
        candidate.remedy,
        candidate.ids_known,
        candidate.is_recall,
    )


def _guess_said(learned: Learned, is_guess: bool) -> str:
    if learned.closed == 0:
        return GUESSES
    return MOSTLY_GUESSES if is_guess else ""


def _steadiness(chance: float, draws: np.typing.NDArray[np.float64], zones: Zones) -> float:
    """The share of draws in the zone of the chance."""
    return float(np.mean(_zone(draws, zones) == _zone(np.array([chance]), zones)[0]))


def _zone(chance: np.typing.NDArray[np.float64], zones: Zones) -> np.typing.NDArray[np.int64]:
    """0 below the zones' low end, 2 from the high end on, 1 between."""
    return (chance >= zones.low).astype(np.int64) + (chance >= zones.high)
