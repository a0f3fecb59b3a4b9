"""Bodies about concerns: what goes out. Money is in whole units of the shop's currency."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date, datetime
from typing import Any, Self

from api.schemas.base import Out
from kb.desk.bay.concern.as_it_stands import AsItStands, CalibrationView
from kb.desk.bay.concern.findings_shown import FindingView
from kb.desk.calls.here_again import AskedFirst
from kb.nouns.bay.clocks import ClockView
from kb.nouns.bay.concern_file import ConcernFile, ConcernLine
from kb.nouns.bay.gates import GateView
from kb.nouns.bay.next_up import NextUp
from kb.nouns.bay.readings import Compared
from kb.nouns.bay.waiting import Waiting
from kb.nouns.concerns import ReportedCode
from kb.nouns.outcomes import Heard
from kb.nouns.shop.ways import Way
from kb.nouns.vehicles import Vehicle


class OpenedOut(Out):
    """The new concern; `warnings` are for a person to look at, `asked_first` what to ask at this visit."""

    id: int
    ref: str
    warnings: list[str]
    asked_first: tuple[AskedFirst, ...] = ()


class ReflashOut(Out):
    """One module of a programming event as it was done for the concern."""

    event_id: int
    performed_on: date
    technician: str
    way: Way
    module: str
    result: str
    update_id: int | None
    update_number: str
    calibration_before: str
    calibration_after: str
    cvn_before: str
    cvn_after: str
    duplicated_before: str
    road_test: str
    other_work: list[str]
    error_text: str


class FollowUpOut(Out):
    """What was heard; `seen_on` is the day of hearing where the day it was true is not known. `at_visit`: the
    later concern with which the vehicle was here then.
    """

    id: int
    result: str
    seen_on: date
    odometer: int | None
    how: str
    remark: str
    cost: float | None
    by: str
    day_known: bool
    version: int
    at_visit: int | None = None

    @classmethod
    def heard(cls, one: Heard, currency: str) -> Self:
        return cls.of_money(one._asdict() | asdict(one.said), currency)


class AuthorizationOut(Out):
    amount: float
    who: str
    how: str
    if_not_cured: str
    at: datetime
    declined: bool
    proposed: str
    number_called: str


class ConcernOut(Out):
    """A concern with everything recorded about it. `ref` reads "RO 2087-A".

    `next_step`: advice (as the advice says), road_test, release (settle what is open, then close it), closed.
    `waiting`: what it waits for, null where somebody can go on with it.
    """

    id: int
    version: int
    ref: str
    ro_number: str
    line: str
    vehicle: Vehicle
    odometer: int | None
    phone: str
    complaint: str
    technician_words: str
    conditions: list[str]
    frequency: str
    usual_gap_days: int | None
    started: str
    just_before: str
    overnight: str
    codes_scanned: str
    codes: list[ReportedCode]
    state: str
    opened_on: date
    opened_at: datetime
    opened_by: str
    ending: str
    counted: str
    cured_by_note_id: int | None
    other_cause: str
    closed_on: date | None
    calibrations: list[CalibrationView]
    compared: list[Compared]
    gates: list[GateView]
    findings: list[FindingView]
    reflashes: list[ReflashOut]
    follow_ups: list[FollowUpOut]
    authorizations: list[AuthorizationOut]
    other_lines: list[ConcernLine]
    earlier: list[ConcernLine]
    next_step: str
    waiting: Waiting | None = None
    next_up: NextUp | None = None
    clocks: tuple[ClockView, ...] = ()
    asked_first: tuple[AskedFirst, ...] = ()

    @classmethod
    def on(cls, file: ConcernFile, stands: AsItStands, currency: str, **more: Any) -> Self:
        """The file, what it comes to today, and `more` that is shown with it."""
        today = {name: getattr(stands, name) for name in cls.model_fields if hasattr(stands, name)}
        heard = [FollowUpOut.heard(one, currency) for one in file.follow_ups]
        agreed = [AuthorizationOut.of_money(one, currency) for one in file.authorizations]
        return cls.of(file, **today, **more, follow_ups=heard, authorizations=agreed)
