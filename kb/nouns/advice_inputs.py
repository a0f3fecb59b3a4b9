"""What one piece of advice is made from, as frozen values.

Money is in the shop's currency, whole units with decimals (not minor units). Chances are 0..1. Every value
is built of plain fields, so `dataclasses.asdict` gives a tree that JSON takes.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from kb.nouns.advice_settings import STARTING_COSTS, CostSettings, Guess
from kb.nouns.bay.first_steps import FoundCause, ToSettle
from kb.nouns.cautions import Caution
from kb.nouns.concerns import FindingResult
from kb.nouns.notes import Grade, Remedy, SpeaksAgainst
from kb.nouns.shop.ways import WaysInHand
from kb.nouns.vehicles import Applies


class CalibrationStatus(StrEnum):
    """Where the calibration in the module stands in its lineage."""

    NEWEST = "newest"
    SUPERSEDED = "superseded"
    NOT_ON_FILE = "not_on_file"
    NOT_READ = "not_read"


class StopKind(StrEnum):
    """What no chance, however high, may outvote."""

    BATTERY = "battery"
    RECALL_OPEN = "recall_open"
    NO_COMMUNICATION = "no_communication"
    MODULE_REPLACED = "module_replaced"
    AFTERMARKET_CALIBRATION = "aftermarket_calibration"
    NOT_RECOVERED = "not_recovered"


@dataclass(frozen=True, slots=True)
class CheckDefinition:
    """A check as the lead set it up. `minutes` are work, `wait_minutes` are not; `cost` is material.

    `group` names checks that tell much the same; `saved_from_diagnosis` is the money that a later
    diagnosis costs less once the check is done. `repair` is what to do where its result names a fault.
    """

    key: str
    name: str
    yes_if_cured: Guess
    yes_if_not: Guess
    question: str = ""
    yes_word: str = "YES"
    no_word: str = "NO"
    minutes: float = 0.0
    wait_minutes: float = 0.0
    cost: float = 0.0
    group: str = ""
    saved_from_diagnosis: float = 0.0
    repair: str = ""


@dataclass(frozen=True, slots=True)
class CheckInHand:
    """A check on one concern: for which candidates it speaks, and what it said.

    `attached_to` are note ids of candidates; empty means the check is not attached here.
    `answered_already` means that the complaint or the codes said it: not offered, not counted. `by_words`
    is what a note says against its remedy and the complaint says too, where nobody did the check.
    `not_before`: until when a clock that runs forbids it, such as "7:40 AM: cold soak".
    """

    definition: CheckDefinition
    attached_to: tuple[int, ...]
    result: FindingResult = FindingResult.NOT_DONE
    answered_already: bool = False
    recorded_at: datetime | None = None
    by_words: str = ""
    needs_road: bool = False
    not_before: str = ""


@dataclass(frozen=True, slots=True)
class CureRecord:
    """Vehicles reflashed: cured of tried (the rate of reports, never mixed with the starting belief).

    `tried` are those with an answer; beside them some are `waiting` for the end of their window, and some
    `not_heard_of` since it ended.
    """

    cured: float
    tried: int
    waiting: int = 0
    not_heard_of: int = 0


@dataclass(frozen=True, slots=True)
class Against:
    """What the note says against its remedy and is met here: by a finding, or by what was said.

    `of_conditions`: what it says is under which conditions it is the cure, and others were said.
    """

    says: str
    met_by: str
    of_conditions: bool = False


@dataclass(frozen=True, slots=True)
class CandidateInHand:
    """An update that may be the fix, with what is known of the module's calibration and what it costs.

    `merged` are note ids of older updates of the same lineage that this one stands for.
    `words_against` is what the complaint says against the note's conditions. `ids_known` is false where its
    remedy is software but no calibration ID is on file; `remedy` is what the note says cures it. `inspected`:
    false where it asks for an inspection first and nobody wrote down what that found.
    `ways` is None where the shop keeps no price of another way than here.
    `reflash_minutes` etc. of None take the shop's setting. `other_cost` is relearns and calibrations after.
    """

    note_id: int
    number: str
    title: str
    module: str
    grade: Grade
    applies: Applies = Applies.CANNOT_TELL
    status: CalibrationStatus = CalibrationStatus.NOT_READ
    calibration_id: str = ""
    newest_id: str = ""
    looked_up_on: date | None = None
    record: CureRecord | None = None
    reflash_minutes: float | None = None
    other_cost: float = 0.0
    module_price: float | None = None
    merged: tuple[int, ...] = ()
    speaks_against: tuple[SpeaksAgainst, ...] = ()
    words_against: tuple[Against, ...] = ()
    remedy: Remedy = Remedy.SOFTWARE
    ids_known: bool = True
    is_recall: bool = False
    inspected: bool = True
    ways: WaysInHand | None = None

    @property
    def name(self) -> str:
        """What the update is called where there is little room."""
        return self.number or self.title


@dataclass(frozen=True, slots=True)
class NearNote:
    """A note that is no candidate: `about` the concern but with nothing to program, or merely nearest."""

    note: int
    number: str
    title: str
    about: bool = False

    @property
    def name(self) -> str:
        return " ".join(filter(None, (self.number, self.title)))


@dataclass(frozen=True, slots=True)
class StopInHand:
    """A hard stop. Lifted only by a named person with a reason."""

    kind: StopKind
    detail: str = ""
    lifted_by: str = ""
    lifted_because: str = ""

    @property
    def is_open(self) -> bool:
        return not (self.lifted_by.strip() and self.lifted_because.strip())


@dataclass(frozen=True, slots=True)
class ConcernInHand:
    """Everything that one piece of advice rests on, besides what the shop has learned.

    `installed` are the names of updates that are in their module already, and so are no candidates.
    `ruled_out` are updates without IDs that a look-up by VIN took out. `near` are the notes to read where no
    update is about it; `left_out_by_year` says which are, and are not for its year. `leaves_today`: it cannot
    stay overnight. `to_settle` comes before anything that needs a module that talks; `faults` are gates
    settled as a cause. `free_because`: why the dealer may do it free, empty where nothing on record says so.
    """

    concern_id: int
    as_of: date
    candidates: tuple[CandidateInHand, ...]
    checks: tuple[CheckInHand, ...] = ()
    stops: tuple[StopInHand, ...] = ()
    notices: tuple[str, ...] = ()
    costs: CostSettings = STARTING_COSTS
    authorized: float | None = None
    used: float = 0.0
    installed: tuple[str, ...] = ()
    near: tuple[NearNote, ...] = ()
    cautions: tuple[Caution, ...] = ()
    ruled_out: tuple[str, ...] = ()
    left_out_by_year: tuple[str, ...] = ()
    leaves_today: bool = False
    to_settle: tuple[ToSettle, ...] = ()
    faults: tuple[FoundCause, ...] = ()
    free_because: str = ""

    @property
    def stays_parked(self) -> bool:
        """Whether it must not be driven until a named person clears it."""
        return any(one.keeps_it_parked for one in self.cautions)
