"""What advice says, as frozen values; and, for one import, what it is made from (in_hand, learning).

Money is in the shop's currency, whole units with decimals (not minor units). Chances are 0..1.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from kb.nouns.advice_inputs import (
    Against,
    CalibrationStatus,
    CandidateInHand,
    CheckDefinition,
    CheckInHand,
    ConcernInHand,
    CureRecord,
    NearNote,
    StopInHand,
    StopKind,
)
from kb.nouns.advice_settings import AdviceSettings, CostSettings, Guess
from kb.nouns.cautions import Caution
from kb.nouns.chance_words import Zones
from kb.nouns.learning import CarryOver, InWindow, PastCandidate, PastConcern, PastFinding
from kb.nouns.notes import Remedy
from kb.nouns.shop.ways import Way, WayCost


class Verdict(StrEnum):
    """What the tool advises now."""

    REFLASH = "reflash"
    KEEP_DIAGNOSING = "keep_diagnosing"
    CHECK_FIRST = "check_first"

    @property
    def words(self) -> str:
        """Such as "Check first", wherever a verdict is read."""
        return self.value.replace("_", " ").capitalize()

    @classmethod
    def of_step(cls, do: str) -> Verdict:
        """The verdict of a plan that begins so: "reflash", "check" or "diagnose"."""
        return {"reflash": cls.REFLASH, "check": cls.CHECK_FIRST}.get(do, cls.KEEP_DIAGNOSING)


@dataclass(frozen=True, slots=True)
class EvidenceCounts:
    """Closed concerns behind an evidence: yes of n among cured, yes of n among not cured."""

    yes_if_cured: int = 0
    cured: int = 0
    yes_if_not: int = 0
    not_cured: int = 0

    @property
    def total(self) -> int:
        return self.cured + self.not_cured


@dataclass(frozen=True, slots=True)
class Evidence:
    """One push toward (positive) or away (negative) in log odds, already tempered, so pushes add up.

    `guess` says in words whose guess it starts from and what that guess weighs; `is_guess` until its own
    counts outweigh that. `silent`: vehicles without an answer that count in part. `adds_up`: how it comes
    about, in words.
    """

    name: str
    result: str
    log_odds: float
    counts: EvidenceCounts
    is_guess: bool
    key: str = ""
    remark: str = ""
    guess: str = ""
    silent: int = 0
    adds_up: str = ""


@dataclass(frozen=True, slots=True)
class CandidateAdvice:
    """What is advised of one update. `chance` is its share P_k, `alone` its chance before sharing.

    `starting` is the mean of the starting belief with `starting_counts` (cured, closed concerns that say
    whether it or something else was the cure); `record` is of vehicles reflashed. `interval` holds 90 %.
    `is_guess` until its own answers outweigh what it starts from. `ids_known` is false where its remedy is
    software and nobody here knows which calibration. `ways`: who may program it, the one that the plan counts
    with first; none where the shop keeps no price of another way than here.
    """

    note: int
    number: str
    title: str
    chance: float
    alone: float
    interval: tuple[float, float]
    threshold: float
    zones: Zones
    steadiness: float
    record: CureRecord | None
    starting: float
    starting_counts: tuple[float, float]
    evidence: tuple[Evidence, ...]
    sentence: str
    is_guess: bool
    speaks_against: tuple[Against, ...] = ()
    remedy: Remedy = Remedy.SOFTWARE
    ids_known: bool = True
    is_recall: bool = False
    ways: tuple[WayCost, ...] = ()
    ways_sentence: str = ""


@dataclass(frozen=True, slots=True)
class PlanNode:
    """One step of the plan. `do` is check, reflash or diagnose; an impossible branch is None.

    `chance` is that of a yes for a check, of a cure for a reflash, 1 for a diagnosis.
    """

    do: str
    expected_cost: float
    chance: float = 1.0
    name: str = ""
    key: str = ""
    yes: PlanNode | None = None
    no: PlanNode | None = None
    then: PlanNode | None = None


@dataclass(frozen=True, slots=True)
class PlanStep:
    """A step as a person reads it: what to do, its own two words, what it costs.

    `number` counts along the likeliest way through the plan, the first step being 1. `do` is settle, check,
    reflash, repair or diagnose; a repair has the `cause` to close with, a gate to settle its `key` and words.
    `not_before` as of its check; what waits for a clock is the step `WAIT` to settle.
    """

    number: int
    do: str
    text: str
    key: str = ""
    yes_word: str = ""
    no_word: str = ""
    minutes: float = 0.0
    wait_minutes: float = 0.0
    cost: float = 0.0
    chance: float = 1.0
    needs_ok: bool = False
    cause: str = ""
    way: Way = Way.HERE
    not_before: str = ""


@dataclass(frozen=True, slots=True)
class CostLine:
    """One cost with its label, split into what the customer pays and what the shop bears."""

    label: str
    total: float
    customer: float
    shop: float


@dataclass(frozen=True, slots=True)
class AdviceCosts:
    """Expected cost of the plan and of the two habits, and what each step costs by the shop's settings."""

    plan: CostLine
    reflash_now: CostLine
    diagnose_first: CostLine
    parts: tuple[CostLine, ...]


@dataclass(frozen=True, slots=True)
class StopSaid:
    """What must be done before anything else, and why."""

    kind: str
    sentence: str
    action: str


@dataclass(frozen=True, slots=True)
class Advice:
    """What the tool says at one moment. `evidence_revision` is what it had learned by then.

    `something_else` is the chance that none of the candidates is the fix. `what_would_change` is the range of
    the cost of diagnosis over which the verdict holds (None where the verdict does not rest on the plan).
    `near` are other notes, where no update is about the concern.
    """

    verdict: Verdict
    sentence: str
    stops: tuple[StopSaid, ...]
    notices: tuple[str, ...]
    candidates: tuple[CandidateAdvice, ...]
    something_else: float
    plan: PlanNode | None
    plan_checks_left_out: int
    steps: tuple[PlanStep, ...]
    costs: AdviceCosts | None
    what_would_change: tuple[float, float | None] | None
    is_guess: bool
    evidence_revision: int = 0
    lead_notices: tuple[str, ...] = ()
    near: tuple[NearNote, ...] = ()
    cautions: tuple[Caution, ...] = ()

    @property
    def lead(self) -> CandidateAdvice | None:
        """The candidate that its sentence speaks of; None where there is no candidate."""
        return lead_of(self.candidates, self.plan)

    @property
    def to_override(self) -> tuple[StopSaid, ...]:
        """The stops that recording needs a name and reason for. What is recorded while a recovery waits is
        judged where it is recorded: recovery itself needs no override.
        """
        return tuple(stop for stop in self.stops if stop.kind != StopKind.NOT_RECOVERED)


def lead_of(candidates: tuple[CandidateAdvice, ...], plan: PlanNode | None) -> CandidateAdvice | None:
    """The update that the plan begins with, else the likeliest: a cheap one may go before a likelier one."""
    begun = plan.key if plan and plan.do == "reflash" else ""
    likeliest = max(candidates, key=lambda one: one.chance, default=None)
    return next((one for one in candidates if str(one.note) == begun), likeliest)
