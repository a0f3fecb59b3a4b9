"""Bodies about advice and decisions. Chances are 0..1, money whole units of the shop's currency."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from api.schemas.base import Out
from api.schemas.whatif import PlanNodeOut
from kb.nouns.advice import Advice, CandidateAdvice, PlanNode


class StopOut(Out):
    kind: str
    sentence: str
    action: str


class CountsOut(Out):
    """Closed concerns behind it: yes of n among those an update cured, yes of n among the others."""

    yes_if_cured: int
    cured: int
    yes_if_not: int
    not_cured: int


class EvidenceOut(Out):
    """One push: toward the update if positive. Pushes add up. `guess`: whose guess it starts from;
    `is_guess` until its own counts outweigh that. `silent` vehicles without an answer count in part;
    `adds_up`: how a start comes about.
    """

    name: str
    key: str
    result: str
    log_odds: float
    counts: CountsOut
    is_guess: bool
    remark: str
    guess: str
    silent: int
    adds_up: str


class CureRecordOut(Out):
    """Vehicles reflashed: cured of tried; others wait, or were not heard of since their window ended."""

    cured: float
    tried: int
    waiting: int
    not_heard_of: int


class AgainstOut(Out):
    """What the bulletin says against its remedy, and what meets it: a finding, or the complaint's words."""

    says: str
    met_by: str


class CandidateOut(Out):
    """One update. Below the first zone end keep diagnosing, above the second reflash; intervals are 90 %."""

    note: int
    number: str
    title: str
    chance: float
    alone: float
    interval: tuple[float, float]
    threshold: float
    zones: tuple[float, float]
    steadiness: float
    record: CureRecordOut | None
    starting: float
    starting_counts: tuple[float, float]
    evidence: list[EvidenceOut]
    sentence: str
    is_guess: bool
    speaks_against: list[AgainstOut]
    remedy: str
    ids_known: bool
    is_recall: bool


class StepOut(Out):
    """The likeliest way through the plan, as a person reads it.

    `do`: settle, check, reflash, repair or diagnose. `key` is a check's; of something to settle that of its
    gate, with its two words for fine and fault. A repair has the `cause` to close with, tested again.
    """

    number: int
    do: str
    text: str
    key: str
    yes_word: str
    no_word: str
    minutes: float
    wait_minutes: float
    cost: float
    chance: float
    needs_ok: bool
    cause: str


class CostOut(Out):
    label: str
    total: float
    customer: float
    shop: float


class CostsOut(Out):
    plan: CostOut
    reflash_now: CostOut
    diagnose_first: CostOut
    parts: list[CostOut]


class NearNoteOut(Out):
    """A note to read where no update is about the concern; `about` false: merely nearest."""

    note: int
    number: str
    title: str
    about: bool


class CautionOut(Out):
    """What can hurt somebody. `key` is do_not_drive, test_off_road_first, misfire, airbag, high_voltage,
    immobilizer or stop_charging; whoever cleared it to be driven stands with the reason.
    """

    key: str
    sentence: str
    cleared_by: str
    cleared_because: str


class AdviceOut(Out):
    """What the tool says now. It advises; the manufacturer's instructions decide."""

    verdict: str
    sentence: str
    stops: list[StopOut]
    notices: list[str]
    candidates: list[CandidateOut]
    something_else: float
    plan: PlanNodeOut | None
    steps: list[StepOut]
    costs: CostsOut | None
    what_would_change: tuple[float, float | None] | None
    is_guess: bool
    evidence_revision: int
    lead_notices: list[str]
    near: list[NearNoteOut]
    cautions: list[CautionOut]


class DecidedOut(Out):
    id: int


class DecisionOut(Out):
    id: int
    at: datetime
    by: str
    verdict: str
    sentence: str
    did: str
    followed: bool
    why_not: str


def advice_out(advice: Advice) -> AdviceOut:
    """The advice in the interface's shape."""
    told = {name: getattr(advice, name) for name in AdviceOut.model_fields}
    told["candidates"] = [_candidate(one) for one in advice.candidates]
    told["plan"] = plan_out(advice.plan)
    return AdviceOut.model_validate(told)


def plan_out(node: PlanNode | None) -> dict[str, Any] | None:
    """One node with only the fields of its kind; an impossible branch is None."""
    if node is None:
        return None
    told: dict[str, Any] = {"do": node.do, "expected_cost": node.expected_cost}
    if node.do == "check":
        told |= {"name": node.name, "key": node.key, "yes": plan_out(node.yes), "no": plan_out(node.no)}
    elif node.do == "reflash":
        told |= {"name": node.name, "then": plan_out(node.then)}
    return told


def _candidate(one: CandidateAdvice) -> dict[str, Any]:
    told = {name: getattr(one, name) for name in CandidateOut.model_fields}
    return told | {"zones": (one.zones.low, one.zones.high)}
