"""Bodies about concerns: what goes out. Money is in whole units of the shop's currency."""

from __future__ import annotations

from datetime import date, datetime

from api.schemas.base import Out


class VehicleOut(Out):
    make: str
    model: str
    year: int | None
    engine: str
    built_on: date | None
    vin: str


class AskedFirstOut(Out):
    """An earlier reflash of the vehicle to ask about at this visit, or what was said of it (`said`, the
    result of the follow-up `follow_up_id`). `alike`: the words by which the new complaint is about the same
    thing.
    """

    concern_id: int
    ref: str
    complaint: str
    update_number: str
    reflashed_on: date
    days: int
    modules: list[tuple[str, str]]
    alike: list[str]
    unsure: bool
    said: str | None
    follow_up_id: int | None


class OpenedOut(Out):
    """The new concern; `warnings` are for a person to look at, `asked_first` what to ask at this visit."""

    id: int
    ref: str
    warnings: list[str]
    asked_first: tuple[AskedFirstOut, ...] = ()


class ConcernLineOut(Out):
    """`counted`: what one that was closed as cured by its reflash counts as today, such as "cured by the
    reflash", "reflashed, waiting, day 40 of 90" or "reflashed, not heard of"; else empty.
    """

    id: int
    ref: str
    complaint: str
    vehicle: VehicleOut
    state: str
    opened_on: date
    ending: str
    counted: str


class CodeOut(Out):
    code: str
    module: str
    status: str


class ReadingOut(Out):
    module: str
    calibration_id: str
    source: str
    confirmed: bool
    cvn: str
    hardware_number: str
    software_number: str


class CalibrationOut(Out):
    """A module's last reading and where it stands in its lineage; `newer` are IDs that would replace it."""

    reading: ReadingOut
    state: str
    newer: list[str]
    looked_up_on: date | None
    looked_up_by: str
    stale: bool
    to_confirm: bool
    file_disagrees: bool


class GateOut(Out):
    key: str
    name: str
    question: str
    fine_word: str
    fault_word: str
    result: str
    value: str
    by: str
    on: date | None


class FindingOut(Out):
    """A check on this concern; `result` null: not done."""

    key: str
    name: str
    question: str
    yes_word: str
    no_word: str
    minutes: float
    wait_minutes: float
    needs: str
    caution: str
    answered_already: bool
    result: str | None
    value: str
    by: str
    at: datetime | None


class ReflashOut(Out):
    event_id: int
    performed_on: date
    technician: str
    module: str
    result: str
    update_id: int | None
    update_number: str
    calibration_before: str
    calibration_after: str
    duplicated_before: str
    road_test: str
    other_work: list[str]
    error_text: str


class FollowUpOut(Out):
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


class AuthorizationOut(Out):
    amount: float
    who: str
    how: str
    if_not_cured: str
    at: datetime


class ConcernOut(Out):
    """A concern with everything recorded about it. `ref` reads "RO 2087-A".

    `next_step`: advice (as the advice says), road_test, release (settle what is open, then close it), closed.
    """

    id: int
    version: int
    ref: str
    ro_number: str
    line: str
    vehicle: VehicleOut
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
    codes: list[CodeOut]
    state: str
    opened_on: date
    opened_at: datetime
    opened_by: str
    ending: str
    counted: str
    cured_by_note_id: int | None
    other_cause: str
    closed_on: date | None
    calibrations: list[CalibrationOut]
    gates: list[GateOut]
    findings: list[FindingOut]
    reflashes: list[ReflashOut]
    follow_ups: list[FollowUpOut]
    authorizations: list[AuthorizationOut]
    other_lines: list[ConcernLineOut]
    earlier: list[ConcernLineOut]
    next_step: str
    asked_first: tuple[AskedFirstOut, ...] = ()
