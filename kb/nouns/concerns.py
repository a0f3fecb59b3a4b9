"""Concerns, findings, what was done and what came of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from kb.nouns.read_values import ReadValue
from kb.nouns.shop.ways import Way
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, Vehicle


class FindingResult(StrEnum):
    """A check's result on one concern; only yes and no are evidence."""

    YES = "yes"
    NO = "no"
    NOT_DONE = "not_done"
    INCONCLUSIVE = "inconclusive"


class Duplicated(StrEnum):
    """Whether the shop saw the concern before the reflash."""

    YES = "yes"
    NO = "no"
    NOT_TRIED = "not_tried"


class RoadTest(StrEnum):
    """What the road test after the reflash said. One not done yet tells as little as one that cannot say."""

    GONE = "gone"
    STILL_THERE = "still_there"
    CANNOT_SAY = "cannot_say"
    NOT_DONE = "not_done"


class ReflashResult(StrEnum):
    """How programming one module ended."""

    COMPLETED = "completed"
    STOPPED = "stopped"
    RECOVERED = "recovered"
    MODULE_LOST = "module_lost"
    NOTHING_NEWER = "nothing_newer"


WHAT_IS_RECOVERY = (
    "A retry that the manufacturer's screen offers in the same session is recovery; "
    "a new session, another tool or another module waits for the lead."
)
INSTALLED = frozenset({ReflashResult.COMPLETED, ReflashResult.RECOVERED})
"""How programming ends that put something into a module."""
UNFINISHED = (ReflashResult.STOPPED, ReflashResult.MODULE_LOST)
"""How it ends where the module waits to be recovered."""


class CodesScanned(StrEnum):
    """None stored is not the same as not scanned."""

    STORED = "stored"
    NONE_STORED = "none_stored"
    NOT_SCANNED = "not_scanned"
    CLEARED_BEFORE = "cleared_before"


class CodeStatus(StrEnum):
    CURRENT = "current"
    PENDING = "pending"
    HISTORY = "history"
    PERMANENT = "permanent"
    NOT_SAID = "not_said"


class FollowUpResult(StrEnum):
    """What was heard of a vehicle after its reflash."""

    FINE = "fine"
    CAME_BACK = "came_back"
    OTHER_CAUSE = "other_cause"
    NEW_COMPLAINT = "new_complaint"
    UPDATED_BY_AIR = "updated_by_air"
    SOLD = "sold"
    NO_ANSWER = "no_answer"
    SEEN_NOT_ASKED = "seen_not_asked"


FAILED = frozenset({FollowUpResult.CAME_BACK, FollowUpResult.OTHER_CAUSE})
"""What tells of a failure when it is heard."""
NOTHING_SAID = frozenset({FollowUpResult.NO_ANSWER, FollowUpResult.SEEN_NOT_ASKED})
"""What leaves everything as it was: asked in vain, or here for something else and nobody asked."""


class SaidHere(StrEnum):
    """What was said of an earlier reflash when the vehicle came in again.

    The first three answer "still fixed?"; the others "is this the old concern back?", where the new complaint
    is about the same thing.
    """

    STILL_FIXED = "still_fixed"
    CAME_BACK = "came_back"
    NOT_ASKED = "not_asked"
    OLD_ONE = "old_one"
    SOMETHING_NEW = "something_new"
    NOT_SURE = "not_sure"


class Overnight(StrEnum):
    """Whether the vehicle can stay overnight, asked once at intake."""

    YES = "yes"
    NO = "no"
    NOT_ASKED = "not_asked"


class NumberIs(StrEnum):
    """What was said where another vehicle has the RO number already: it is that one, or both have it."""

    NOT_ASKED = ""
    THIS_VEHICLE = "this_vehicle"
    ANOTHER_VEHICLE = "another_vehicle"


class Ending(StrEnum):
    """How a concern was closed."""

    CURED_BY_REFLASH = "cured_by_reflash"
    OTHER_CAUSE = "other_cause"
    SENT_TO_DEALER = "sent_to_dealer"
    NOT_RESOLVED = "not_resolved"


@dataclass(frozen=True, slots=True)
class ReportedCode:
    """A trouble code as scanned: "P0171", or with its failure type "U0100-87"."""

    code: str
    module: str = ""
    status: CodeStatus = CodeStatus.NOT_SAID


@dataclass(frozen=True, slots=True)
class ConcernDraft:
    """What the intake of a concern takes: one line of a repair order.

    `same_number` answers what is asked where another vehicle has this RO number already. `read` is what else
    was read, such as a voltage. `cost_overrides` may replace shop settings for this concern alone (keys as in
    the cost settings).
    """

    ro_number: str
    complaint: str
    line: str = ""
    technician_words: str = ""
    vehicle: Vehicle = field(default_factory=Vehicle)
    vin_confirmed: bool = False
    odometer: int | None = None
    codes: tuple[ReportedCode, ...] = ()
    codes_scanned: CodesScanned = CodesScanned.NOT_SCANNED
    calibrations: tuple[CalibrationReading, ...] = ()
    read: tuple[ReadValue, ...] = ()
    conditions: tuple[str, ...] = ()
    frequency: str = ""
    usual_gap_days: int | None = None
    started: str = ""
    just_before: str = ""
    phone: str = ""
    opened_on: date | None = None
    overnight: Overnight = Overnight.NOT_ASKED
    same_number: NumberIs = NumberIs.NOT_ASKED


@dataclass(frozen=True, slots=True)
class Finding:
    """What a check said on a concern; `value`: what was seen with it, `number`: what was measured, which
    decides the result (None: not said) by the limit that rules there.
    """

    check: str
    result: FindingResult | None
    value: str = ""
    number: float | None = None


@dataclass(frozen=True, slots=True)
class ModuleResult:
    """One module of a programming event, in order.

    `calibration_source` says where the ID after is from; a typed one is no "latest" until it is confirmed.
    """

    module: str
    result: ReflashResult
    update_id: int | None = None
    calibration_before: str = ""
    calibration_after: str = ""
    cvn_after: str = ""
    error_text: str = ""
    concern_ids: tuple[int, ...] = ()
    calibration_source: CalibrationSource = CalibrationSource.TYPED
    calibration_confirmed: bool = False
    cvn_before: str = ""


@dataclass(frozen=True, slots=True)
class ProgrammingEventDraft:
    """One sitting at the vehicle: who, with what, how long, and one result per module."""

    modules: tuple[ModuleResult, ...]
    performed_on: date
    minutes: int | None = None
    device_id: int | None = None
    computer_id: int | None = None
    support_unit_id: int | None = None
    subscription_id: int | None = None
    duplicated_before: Duplicated = Duplicated.YES
    road_test: RoadTest = RoadTest.NOT_DONE
    other_work: tuple[str, ...] = ()
    who_was_called: str = ""
    remark: str = ""
    way: Way = Way.HERE


class HowHeard(StrEnum):
    """Whether somebody had to ask. Not said teaches nothing of how many failures are told unasked."""

    NOT_SAID = ""
    UNASKED = "unasked"
    ASKED = "asked"


@dataclass(frozen=True, slots=True)
class FollowUpDraft:
    """What was heard, and the day it was true (not the day it was typed).

    Of a comeback or another cause since a day that nobody knows, `day_known` is False and `seen_on` the day
    on which it was heard of.
    """

    result: FollowUpResult
    seen_on: date
    odometer: int | None = None
    how: str = ""
    remark: str = ""
    cost_minor: int | None = None
    day_known: bool = True
    heard: HowHeard = HowHeard.NOT_SAID
