"""Vehicles, repair orders and their concerns, with everything recorded about one."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, Index, UniqueConstraint
from sqlmodel import Field, SQLModel

from kb.records.tables.columns import NEVER_REUSE_IDS, Numbered, OfShop, instant, maybe_instant


class VehicleRow(OfShop, table=True):
    __tablename__ = "vehicle"
    __table_args__ = (Index("vehicle_by_vin", "shop_id", "vin"), NEVER_REUSE_IDS)
    vin: str = ""
    make: str = ""
    model: str = ""
    year: int | None = None
    engine: str = ""
    built_on: date | None = None
    import_id: int | None = Field(default=None, foreign_key="import_job.id", index=True)
    version: int = 1


class RepairOrder(OfShop, table=True):
    """One visit of one vehicle; its lines are the concerns. The phone number is optional and deletable."""

    __tablename__ = "repair_order"
    __table_args__ = (Index("repair_order_by_number", "shop_id", "number"), NEVER_REUSE_IDS)
    number: str
    vehicle_id: int = Field(foreign_key="vehicle.id", index=True)
    opened_on: date
    odometer: int | None = None
    phone: str = ""
    import_id: int | None = Field(default=None, foreign_key="import_job.id", index=True)
    version: int = 1


class ConcernRow(OfShop, table=True):
    """One line of a repair order. The customer's words and the technician's are kept apart.

    `waiting_for` is empty while somebody can go on with it.
    """

    __tablename__ = "concern"
    __table_args__ = (
        Index("concern_by_state", "shop_id", "state", "opened_on"),
        Index("concern_by_change", "shop_id", "changed_revision"),
        NEVER_REUSE_IDS,
    )
    repair_order_id: int = Field(foreign_key="repair_order.id", index=True)
    line: str = ""
    complaint: str
    technician_words: str = ""
    conditions: list[str] = Field(default_factory=list, sa_type=JSON)
    frequency: str = ""
    usual_gap_days: int | None = None
    started: str = ""
    just_before: str = ""
    overnight: str = "not_asked"
    codes_scanned: str
    cost_overrides: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
    state: str = "open"
    opened_on: date
    opened_at: datetime = instant()
    opened_by: str
    ending: str = ""
    cured_by_note_id: int | None = Field(default=None, foreign_key="note.id", index=True)
    explained_by_note_id: int | None = Field(default=None, foreign_key="note.id", index=True)
    other_cause: str = ""
    closed_on: date | None = None
    closed_at: datetime | None = maybe_instant()
    import_id: int | None = Field(default=None, foreign_key="import_job.id", index=True)
    waiting_for: str = ""
    waiting_remark: str = ""
    waiting_by: str = ""
    waiting_since: datetime | None = maybe_instant()
    next_what: str = ""
    next_who: str = ""
    next_by: str = ""
    next_since: datetime | None = maybe_instant()
    changed_revision: int = 0
    version: int = 1


class ConcernCode(Numbered, table=True):
    __tablename__ = "concern_code"
    concern_id: int = Field(foreign_key="concern.id", index=True)
    code: str
    module: str = ""
    status: str


class ConcernCandidate(SQLModel, table=True):
    """An update that the search offered when the concern was opened, with its grade frozen.

    `about` says whether it is about the complaint (None: nobody looked yet), by the rule `about_rule` and the
    note's version `about_version`.
    """

    __tablename__ = "concern_candidate"
    concern_id: int = Field(foreign_key="concern.id", primary_key=True)
    note_id: int = Field(foreign_key="note.id", primary_key=True, index=True)
    position: int
    grade: str
    all_codes_named: bool = False
    about: bool | None = None
    about_rule: int = 0
    about_version: int = 0


class LookUpRow(Numbered, table=True):
    """The manufacturer's look-up by VIN: the newest ID there, or nothing newer."""

    __tablename__ = "calibration_look_up"
    concern_id: int = Field(foreign_key="concern.id", index=True)
    vehicle_id: int = Field(foreign_key="vehicle.id", index=True)
    module: str
    looked_up_on: date
    by: str
    newest_id: str = ""
    nothing_newer: bool = False


class Gate(Numbered, table=True):
    """What must be settled before anything else (battery, recall, module original...); never evidence."""

    __tablename__ = "gate"
    __table_args__ = (UniqueConstraint("concern_id", "gate"), NEVER_REUSE_IDS)
    concern_id: int = Field(foreign_key="concern.id", index=True)
    gate: str
    result: str
    value: str = ""
    by: str
    on: date
    at: datetime = instant()


class StopLift(Numbered, table=True):
    """A named person took the responsibility for passing a stop, and why."""

    __tablename__ = "stop_lift"
    concern_id: int = Field(foreign_key="concern.id", index=True)
    stop: str
    reason: str
    by: str
    at: datetime = instant()


class CheckRow(OfShop, table=True):
    """A diagnostic step with its two result words and what the lead believes it tells."""

    __tablename__ = "diagnostic_check"
    __table_args__ = (UniqueConstraint("shop_id", "key"), NEVER_REUSE_IDS)
    key: str
    name: str
    question: str
    yes_word: str
    no_word: str
    system: str
    minutes: float
    wait_minutes: float = 0
    needs: str = ""
    told_with: str = ""
    caution: str = ""
    repair: str = ""
    cost_minor: int = 0
    saved_minor: int = 0
    yes_in_10_cured: float
    yes_in_10_not: float
    weight: float = 4
    source_line: str = ""
    measure: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
    author: str
    position: int = 0
    retired_on: date | None = None
    version: int = 1


class CheckAttachment(SQLModel, table=True):
    """A check that the lead attached to one note, whatever the note's system."""

    __tablename__ = "check_attachment"
    check_id: int = Field(foreign_key="diagnostic_check.id", primary_key=True)
    note_id: int = Field(foreign_key="note.id", primary_key=True, index=True)


class FindingRow(Numbered, table=True):
    """A check's result on one concern, with the number measured. Taps replace each other; `at` moves."""

    __tablename__ = "finding"
    __table_args__ = (UniqueConstraint("concern_id", "check_id"), NEVER_REUSE_IDS)
    concern_id: int = Field(foreign_key="concern.id", index=True)
    check_id: int = Field(foreign_key="diagnostic_check.id", index=True)
    result: str
    value: str = ""
    number: float | None = None
    unit: str = ""
    by: str
    at: datetime = instant()


class DecisionRow(Numbered, table=True):
    """Advice frozen at the moment of a decision with everything it rests on, and what was done."""

    __tablename__ = "decision"
    concern_id: int = Field(foreign_key="concern.id", index=True)
    at: datetime = instant()
    by: str
    verdict: str
    did: str
    followed: bool
    why_not: str = ""
    advice: dict[str, Any] = Field(sa_type=JSON)
    inputs: dict[str, Any] = Field(sa_type=JSON)
