"""What the tool says of one concern, from what is in hand and what the shop has learned.

Same inputs, same advice: nothing here reads a clock, and draws are seeded by concern and evidence revision.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from kb.advice.before_plan.cause_found import cause_found, repair_said
from kb.advice.before_plan.held_back import held_back, wait_first
from kb.advice.before_plan.inspect_first import inspection_first
from kb.advice.before_plan.settle_first import Before, settle
from kb.advice.candidate_advice import advised_of
from kb.advice.chance_sentences import (
    nothing_about,
)
from kb.advice.chances.chances import chances
from kb.advice.chances.learn import Learned
from kb.advice.planning import costs
from kb.advice.planning.choosing_steps import smaller, step_now
from kb.advice.planning.numbered_steps import numbered
from kb.advice.planning.plan import solve
from kb.advice.planning.plan_tree import tree
from kb.advice.planning.problem import MAX_UPDATES
from kb.advice.planning.problem_of_concern import Decision, compared, decide
from kb.advice.planning.zones import diagnosis_range
from kb.advice.verdict import verdict_of, verdict_sentence
from kb.advice.ways import way_of
from kb.advice.ways_said import NO_WAYS, by_way
from kb.nouns.advice import (
    Advice,
    AdviceSettings,
    CandidateInHand,
    ConcernInHand,
    CostLine,
    PlanNode,
    Verdict,
    lead_of,
)
from kb.nouns.bay.first_steps import FoundCause, ToSettle
from kb.nouns.shop.ways import Way


def advise(concern: ConcernInHand, learned: Learned, settings: AdviceSettings) -> Advice:
    """Advice by the order: hard stop, nothing to install, not read, stale look-up, plan."""
    before = settle(concern, settings.look_up_limit_days)
    candidates = before.candidates[:MAX_UPDATES]
    if not candidates:
        return _without_candidates(concern, before, learned)
    found = chances(concern, candidates, learned, settings)
    decision = decide(concern, candidates, found, learned, settings)
    solution = solve(decision.problem)
    first = step_now(solution, held_back(concern.checks), quickest=settings.quickest_first)
    plan = tree(solution, first)
    before = replace(before, actions=before.actions or _before_its_first(plan, candidates, concern))
    said = advised_of(concern, candidates, found, decision, first, learned, settings, bool(before.actions))
    ways = {str(c.note_id): way_of(some) for c, some in zip(candidates, decision.prices.ways, strict=True)}
    verdict, lead = verdict_of(plan, to_settle=bool(before.actions)), lead_of(said, plan)
    found_fault = _fault(concern, before, plan)
    what = before.stops[0].sentence if before.stops else _what(before, plan, verdict, found_fault, ways)
    return Advice(
        verdict,
        verdict_sentence(verdict, what, lead),
        before.stops,
        before.notices + _left_out(decision),
        said,
        found.shares[-1],
        plan,
        decision.left_out,
        numbered(
            concern,
            before.actions,
            plan,
            _lines(concern, candidates, decision.prices.reflash),
            found_fault,
            ways,
        ),
        compared(decision, solution, first, concern.costs),
        None if before.actions else diagnosis_range(smaller(decision.problem, settings.zone_checks)),
        learned.closed == 0,
        learned.revision,
        learned.lead_notices,
        cautions=concern.cautions,
    )


def _before_its_first(
    plan: PlanNode | None, candidates: Sequence[CandidateInHand], concern: ConcernInHand
) -> tuple[ToSettle, ...]:
    """What comes before the first step of the plan: its inspection, or the wait for a clock."""
    return inspection_first(plan, candidates) or wait_first(plan, concern.checks)


def _without_candidates(concern: ConcernInHand, before: Before, learned: Learned) -> Advice:
    """No update to weigh: what must be settled comes first, else the diagnosis goes on."""
    what = nothing_about(concern.near, wrong_year=bool(concern.left_out_by_year))
    if concern.ruled_out:
        what = f"by the look-up {' and '.join(concern.ruled_out)} has nothing for this VIN"
    if concern.installed:
        what = f"{' and '.join(concern.installed)} went in already, and no other update on file fits"
    if before.nothing_to_install:
        what = "the module already holds the latest calibration we know of"
    plan = PlanNode("diagnose", costs.diagnosis(concern.costs).total)
    verdict = verdict_of(plan, to_settle=bool(before.actions))
    found_fault = _fault(concern, before, plan)
    if before.stops:
        what = before.stops[0].sentence
    elif before.actions or found_fault:
        what = f"{_what(before, plan, verdict, found_fault)}. {what[0].upper()}{what[1:]}"
    return Advice(
        verdict,
        verdict_sentence(verdict, what, None),
        before.stops,
        before.notices,
        (),
        1.0,
        plan,
        0,
        numbered(concern, before.actions, plan, _lines(concern), found_fault),
        None,
        None,
        learned.closed == 0,
        learned.revision,
        learned.lead_notices,
        near=concern.near,
        cautions=concern.cautions,
    )


def _fault(concern: ConcernInHand, before: Before, plan: PlanNode | None) -> FoundCause | None:
    """What was found to be the cause, where the plan would otherwise go on with the diagnosis."""
    if before.actions or plan is None or plan.do != "diagnose":
        return None
    return cause_found(concern.checks, concern.faults)


def _what(
    before: Before,
    plan: PlanNode | None,
    verdict: Verdict,
    fault: FoundCause | None,
    ways: Mapping[str, Way] = NO_WAYS,
) -> str:
    if before.actions:
        return before.actions[0].text
    if fault:
        return repair_said(fault)
    if plan is None or verdict is Verdict.KEEP_DIAGNOSING:
        return ""
    return by_way(plan.name, ways.get(plan.key, Way.HERE))


def _left_out(decision: Decision) -> tuple[str, ...]:
    if not decision.left_out:
        return ()
    kept = len(decision.problem.checks)
    return (f"The plan weighs the {kept} most telling checks; {decision.left_out} more were left out.",)


def _lines(
    concern: ConcernInHand,
    candidates: Sequence[CandidateInHand] = (),
    reflashes: Sequence[CostLine] = (),
) -> dict[str, CostLine]:
    lines = {c.definition.key: costs.check(c.definition, concern.costs) for c in concern.checks}
    lines |= {str(c.note_id): line for c, line in zip(candidates, reflashes, strict=True)}
    return lines | {"diagnose": costs.diagnosis(concern.costs)}
