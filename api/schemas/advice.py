"""Advice as it goes out. Chances are 0..1, money whole units of the shop's currency."""

from __future__ import annotations

from api.schemas.base import Out
from api.schemas.whatif import PlanNodeOut
from kb.nouns.advice import (
    AdviceCosts,
    Caution,
    CureRecord,
    Evidence,
    NearNote,
    PlanStep,
    StopSaid,
    Verdict,
)
from kb.nouns.notes import Remedy
from kb.nouns.shop.ways import WayCost


class AgainstOut(Out):
    """What the bulletin says against its remedy, and what meets it: a finding, or the complaint's words."""

    says: str
    met_by: str


class CandidateOut(Out):
    """One update. Below the first zone end keep diagnosing, above the second reflash; intervals are 90 %.

    `ways`: who may program it, the one that the plan counts with first; none where no price of another way
    than here is kept.
    """

    note: int
    number: str
    title: str
    chance: float
    alone: float
    interval: tuple[float, float]
    threshold: float
    zones: tuple[float, float]
    steadiness: float
    record: CureRecord | None
    starting: float
    starting_counts: tuple[float, float]
    evidence: tuple[Evidence, ...]
    sentence: str
    is_guess: bool
    speaks_against: tuple[AgainstOut, ...]
    remedy: Remedy
    ids_known: bool
    is_recall: bool
    ways: tuple[WayCost, ...]
    ways_sentence: str


class AdviceOut(Out):
    """What the tool says now. It advises; the manufacturer's instructions decide.

    `what_would_change` is the range of the cost of diagnosis over which the verdict holds. `near`: notes to
    read where no update is about the concern.
    """

    verdict: Verdict
    sentence: str
    stops: tuple[StopSaid, ...]
    notices: tuple[str, ...]
    candidates: tuple[CandidateOut, ...]
    something_else: float
    plan: PlanNodeOut | None
    steps: tuple[PlanStep, ...]
    costs: AdviceCosts | None
    what_would_change: tuple[float, float | None] | None
    is_guess: bool
    evidence_revision: int
    lead_notices: tuple[str, ...]
    near: tuple[NearNote, ...]
    cautions: tuple[Caution, ...]
