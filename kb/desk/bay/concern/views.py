"""What pages and the interface are shown of a concern: frozen, joined, in the shop's words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import TypeAlias

from kb.advice.before_plan.after_reflash import AfterReflash, NextStep, after_reflash
from kb.nouns.concerns import (
    CodesScanned,
    FindingResult,
    FollowUpResult,
    ReflashResult,
    ReportedCode,
)
from kb.nouns.recalls import RecallsOfConcern
from kb.nouns.vehicles import CalibrationReading, Vehicle

_INSTALLED = frozenset({ReflashResult.COMPLETED, ReflashResult.RECOVERED})


@dataclass(frozen=True, slots=True)
class CalibrationView:
    """A module's reading with where it stands. `state` is a word of kb.vehicle.lineage.

    `newer` are the IDs that would replace it, `stale` says that the look-up is missing or too old.
    """

    reading: CalibrationReading
    state: str
    newer: tuple[str, ...]
    looked_up_on: date | None
    looked_up_by: str
    stale: bool
    to_confirm: bool
    file_disagrees: bool


@dataclass(frozen=True, slots=True)
class GateView:
    """A gate with its two words; `result` is fine, fault or empty (not settled).

    `numbers` are those of open recalls, of the recall gate only.
    """

    key: str
    name: str
    question: str
    fine_word: str
    fault_word: str
    result: str = ""
    value: str = ""
    by: str = ""
    on: date | None = None
    numbers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FindingView:
    """A check as it stands on one concern; `result` None means not done."""

    key: str
    name: str
    question: str
    yes_word: str
    no_word: str
    minutes: float
    wait_minutes: float
    needs: str
    caution: str
    answered_already: bool = False
    result: FindingResult | None = None
    value: str = ""
    by: str = ""
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class ReflashView:
    """One module of a programming event as shown on a concern.

    `failed_on` is the day of its first failure, at the road test or after it.
    """

    outcome_id: int | None
    event_id: int
    performed_on: date
    technician: str
    module: str
    result: ReflashResult
    update_id: int | None
    update_number: str
    calibration_before: str
    calibration_after: str
    duplicated_before: str
    road_test: str
    other_work: tuple[str, ...]
    error_text: str
    failed_on: date | None = None


@dataclass(frozen=True, slots=True)
class FollowUpView:
    """What was heard; `seen_on` is the day of hearing where the day it was true is not known. `at_visit`: the
    later concern with which the vehicle was here then.
    """

    id: int
    result: FollowUpResult
    seen_on: date
    odometer: int | None
    how: str
    remark: str
    cost_minor: int | None
    by: str
    day_known: bool
    imported: bool
    version: int
    at_visit: int | None = None


After: TypeAlias = AfterReflash[ReflashView, FollowUpView]


@dataclass(frozen=True, slots=True)
class AuthorizationView:
    amount_minor: int
    who: str
    how: str
    if_not_cured: str
    at: datetime


@dataclass(frozen=True, slots=True)
class ConcernLine:
    """One concern in a list. `counted`: what it counts as today if it was closed as cured by its reflash."""

    id: int
    ref: str
    complaint: str
    vehicle: Vehicle
    state: str
    opened_on: date
    ending: str = ""
    other_cause: str = ""
    counted: str = ""


@dataclass(frozen=True, slots=True)
class ConcernView:
    """A concern with everything recorded about it. `ref` reads "RO 2087-A"; `counted` is as in a line."""

    id: int
    version: int
    ref: str
    ro_number: str
    line: str
    repair_order_id: int
    vehicle_id: int
    vehicle: Vehicle
    odometer: int | None
    phone: str
    complaint: str
    technician_words: str
    conditions: tuple[str, ...]
    frequency: str
    usual_gap_days: int | None
    started: str
    just_before: str
    overnight: str
    codes_scanned: CodesScanned
    codes: tuple[ReportedCode, ...]
    state: str
    opened_on: date
    opened_at: datetime
    opened_by: str
    ending: str
    counted: str
    cured_by_note_id: int | None
    other_cause: str
    closed_on: date | None
    calibrations: tuple[CalibrationView, ...]
    gates: tuple[GateView, ...]
    recalls: RecallsOfConcern
    reflashes: tuple[ReflashView, ...]
    follow_ups: tuple[FollowUpView, ...]
    authorizations: tuple[AuthorizationView, ...]
    other_lines: tuple[ConcernLine, ...]
    earlier: tuple[ConcernLine, ...]

    @property
    def installed(self) -> tuple[ReflashView, ...]:
        """What is in a module now."""
        return tuple(one for one in self.reflashes if one.result in _INSTALLED)

    @property
    def not_completed(self) -> tuple[ReflashView, ...]:
        """Modules whose last programming stopped with an error or lost the module, until recovered."""
        last = {one.module: one for one in self.reflashes if one.result is not ReflashResult.NOTHING_NEWER}
        return tuple(one for one in last.values() if one.result not in _INSTALLED)

    @property
    def after(self) -> After | None:
        """Where it stands after its last reflash; None before one."""
        return after_reflash(self.installed, self.follow_ups, recovery_open=bool(self.not_completed))

    @property
    def next_step(self) -> NextStep:
        """What is done next on this concern."""
        if self.state == "closed":
            return "closed"
        after = self.after
        return after.next if after else "advice"
