"""From a concern and its chances to the problem that the plan solves, and what its plans cost whom."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kb.advice.chances.chances import Chances, belief_of, counted_findings, speaks_of
from kb.advice.chances.learn import Learned
from kb.advice.chances.tempering import tempered
from kb.advice.planning import costs
from kb.advice.planning.choosing_steps import best_first, room
from kb.advice.planning.plan import DIAGNOSE, Solution, solve
from kb.advice.planning.plan_tree import cost_by_cause
from kb.advice.planning.prices import Prices, prices_of
from kb.advice.planning.problem import PlanCheck, PlanUpdate, Problem
from kb.nouns.advice import (
    AdviceCosts,
    AdviceSettings,
    CandidateInHand,
    CheckInHand,
    ConcernInHand,
    CostLine,
    CostSettings,
)
from kb.nouns.concerns import FindingResult

LONG_WAIT = 240.0
"""Minutes of waiting that a vehicle cannot take which leaves on the same day; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Decision:
    """The problem in total cost and the same in what the customer pays; checks beyond the limit left out."""

    problem: Problem
    customer: Problem
    left_out: int
    prices: Prices


def decide(
    concern: ConcernInHand,
    candidates: Sequence[CandidateInHand],
    found: Chances,
    learned: Learned,
    settings: AdviceSettings,
) -> Decision:
    """The problem of this concern, with the checks most worth asking."""
    offered = offered_checks(concern, learned)
    planned = tuple(_plan_check(c, candidates, learned, concern.costs) for c in offered)
    prices = prices_of(candidates, concern.costs, concern.free_because)
    bare = _problem(candidates, found, prices, concern.costs)
    kept, left_out = _select(bare, planned, learned, room(settings.plan_checks, len(candidates)))
    lines = {c.definition.key: costs.check(c.definition, concern.costs) for c in offered}
    paid = tuple(
        replace(c, cost=lines[c.key].customer, saved=c.saved * concern.costs.customer_diagnosis) for c in kept
    )
    customer = _customer(bare, prices, concern.costs)
    return Decision(replace(bare, checks=kept), replace(customer, checks=paid), left_out, prices)


def offered_checks(concern: ConcernInHand, learned: Learned) -> list[CheckInHand]:
    """Checks not done yet, attached, not answered already, not on a road where it must not be driven, not
    waiting long where it leaves today, and not telling what a finding told already.
    """
    said, _ = counted_findings(concern, learned)
    told = {c.definition.key for c in said}
    return [
        c
        for c in concern.checks
        if c.result is FindingResult.NOT_DONE
        and c.attached_to
        and not c.answered_already
        and not (c.needs_road and concern.stays_parked)
        and not (concern.leaves_today and c.definition.wait_minutes > LONG_WAIT)
        and not any(_pair(c.definition.key, key) in learned.alike for key in told)
    ]


def _pair(one: str, other: str) -> tuple[str, str]:
    return (one, other) if one <= other else (other, one)


def _plan_check(
    check: CheckInHand, candidates: Sequence[CandidateInHand], learned: Learned, settings: CostSettings
) -> PlanCheck:
    known = belief_of(learned, check)
    up, base = tempered(known.yes_if_cured.mean, known.yes_if_not.mean, learned.tempering.b)
    yes = tuple(up if speaks_of(check, c) else base for c in candidates)
    definition = check.definition
    return PlanCheck(
        definition.name,
        (*yes, base),
        costs.check(definition, settings).total,
        definition.saved_from_diagnosis,
        float(known.counts.total),
        definition.key,
        definition.minutes + definition.wait_minutes,
    )


def _problem(
    candidates: Sequence[CandidateInHand], found: Chances, prices: Prices, settings: CostSettings
) -> Problem:
    fee = prices.fee.total
    return Problem(
        tuple(
            PlanUpdate(c.name, chance, line.total, str(c.note_id))
            for c, chance, line in zip(candidates, found.shares, prices.reflash, strict=False)
        ),
        (),
        costs.diagnosis(settings).total,
        costs.rework(settings).total,
        fee,
        fee,
    )


def _customer(bare: Problem, prices: Prices, settings: CostSettings) -> Problem:
    fee = prices.fee.customer
    paid = tuple(replace(u, cost=line.customer) for u, line in zip(bare.updates, prices.reflash, strict=True))
    return Problem(paid, (), costs.diagnosis(settings).customer, costs.rework(settings).customer, fee, fee)


def _select(
    problem: Problem, checks: tuple[PlanCheck, ...], learned: Learned, most: int
) -> tuple[tuple[PlanCheck, ...], int]:
    """The best checks, one of those that tell much the same, and how many good ones found no room."""
    chosen: list[PlanCheck] = []
    for check in best_first(problem, checks):
        if not any(_pair(check.key, other.key) in learned.alike for other in chosen):
            chosen.append(check)
    return tuple(chosen[:most]), max(0, len(chosen) - most)


def compared(decision: Decision, solution: Solution, first: int, settings: CostSettings) -> AdviceCosts:
    """What the plan and the two habits cost, split, and the settings behind them as lines."""
    plain, customer = solve(replace(decision.problem, checks=())), replace(decision.customer, checks=())
    lead = int(np.argmax([u.chance for u in decision.problem.updates]))
    parts = (
        *decision.prices.reflash,
        decision.prices.fee,
        costs.diagnosis(settings),
        costs.rework(settings),
    )
    return AdviceCosts(
        _line("This plan", solution, first, decision.customer),
        _line("Reflash now", plain, lead, customer),
        _line("Diagnose first", plain, DIAGNOSE, customer),
        parts,
    )


def _line(label: str, solution: Solution, first: int, customer: Problem) -> CostLine:
    chances = np.array(solution.problem.chances)
    total = float(chances @ cost_by_cause(solution, first))
    paid = float(chances @ cost_by_cause(solution, first, customer))
    return CostLine(label, total, paid, total - paid)
