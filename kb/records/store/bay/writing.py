"""What a person or a history tells, as rows: the one place where drafts become columns, many at a time."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import date, datetime
from enum import Enum
from typing import Any

from sqlalchemy import ColumnElement, bindparam, update
from sqlmodel import Session, SQLModel

from kb.nouns.concerns import (
    INSTALLED,
    ConcernDraft,
    Ending,
    FollowUpDraft,
    ModuleResult,
    ProgrammingEventDraft,
    ReportedCode,
)
from kb.nouns.outcomes import Standing
from kb.nouns.vehicles import Vehicle
from kb.records.store.imports.bulk import add_rows, insert_rows, table_of
from kb.records.tables import (
    ConcernCode,
    ConcernRow,
    FollowUpRow,
    OtherWork,
    Outcome,
    ProgrammingEvent,
    Reflash,
    RepairOrder,
    VehicleRow,
)

Columns = dict[str, Any]
VEHICLE = ("make", "model", "year", "engine", "built_on")
WORDS = (
    *("complaint", "technician_words", "conditions", "frequency", "usual_gap_days", "started"),
    *("just_before", "overnight", "codes_scanned"),
)
_EVENT = (
    *("performed_on", "minutes", "device_id", "computer_id", "support_unit_id", "subscription_id"),
    *("who_was_called", "remark"),
)
REFLASH = ("module", "calibration_before", "calibration_after")
_RESULT = (*REFLASH, "update_id", "result", "cvn_after", "error_text")
OUTCOME = ("duplicated_before", "road_test")
FOLLOW_UP = tuple(one.name for one in fields(FollowUpDraft))
_NOT_TOLD_YET = dict.fromkeys(
    (
        *("counted_as", "reflashed_day", "reflashed_month", "event_day", "heard_day"),
        "comeback_cost_minor",
    ),
    0,
) | {"event_kind": Standing.NOT_KNOWN.value}
"""What reports group by, until the story of the outcome is told (kb.outcomes.story)."""


@dataclass(frozen=True, slots=True)
class Stamp:
    """Who says it, when; of an import its job."""

    shop_id: int
    by: str
    at: datetime
    import_id: int | None = None


@dataclass(frozen=True, slots=True)
class Done:
    """One module of a sitting as it was done for one concern, at an odometer."""

    reflash_id: int
    concern_id: int
    module: ModuleResult
    sitting: ProgrammingEventDraft
    odometer: int | None
    history_row_id: int | None = None

    def columns(self) -> Columns:
        """What may be told otherwise later."""
        other_work = bool(self.sitting.other_work)
        return columns(self.sitting, OUTCOME) | {"odometer": self.odometer, "other_work": other_work}


@dataclass(frozen=True, slots=True)
class Told:
    """What was heard of a concern: at which visit, settling which promised call, from which history row."""

    concern_id: int
    draft: FollowUpDraft
    at_visit: int | None = None
    settled_call_on: date | None = None
    history_row_id: int | None = None


def columns(draft: object, names: Iterable[str]) -> Columns:
    """These fields of a draft, as a row holds them."""
    return {name: _plain(getattr(draft, name)) for name in names}


def add_vehicles(session: Session, stamp: Stamp, vehicles: Iterable[Vehicle]) -> list[int]:
    made = _made(stamp)
    rows = [{**columns(one, VEHICLE), "vin": one.vin, **made} for one in vehicles]
    return insert_rows(session, VehicleRow, rows)


def add_orders(session: Session, stamp: Stamp, opened: Iterable[tuple[int, ConcernDraft]]) -> list[int]:
    """Repair orders of (vehicle, first line)."""
    made = _made(stamp)
    rows = [
        {
            **columns(draft, ("opened_on", "odometer", "phone")),
            "number": draft.ro_number,
            "vehicle_id": vehicle_id,
            **made,
        }
        for vehicle_id, draft in opened
    ]
    return insert_rows(session, RepairOrder, rows)


def add_concerns(
    session: Session, stamp: Stamp, opened: Sequence[tuple[int, ConcernDraft]], revision: int = 0
) -> list[int]:
    """Concerns of (repair order, draft) with their codes; found by the search from `revision` on."""
    more = {
        **_made(stamp),
        "opened_at": stamp.at,
        "opened_by": stamp.by,
        "state": "open",
        "ending": "",
        "other_cause": "",
        "cost_overrides": {},
        "changed_revision": revision,
    }
    rows = [
        {**columns(draft, (*WORDS, "line", "opened_on")), "repair_order_id": order_id, **more}
        for order_id, draft in opened
    ]
    ids = insert_rows(session, ConcernRow, rows)
    lines = zip(ids, opened, strict=True)
    add_codes(session, [(one, code) for one, (_, draft) in lines for code in draft.codes])
    return ids


def add_codes(session: Session, scanned: Iterable[tuple[int, ReportedCode]]) -> list[int]:
    """Of (concern, code)."""
    rows = [{"concern_id": at, **columns(one, ("code", "module", "status"))} for at, one in scanned]
    return insert_rows(session, ConcernCode, rows)


def ended(ending: Ending, cured_by: int | None, other_cause: str, on: date, at: datetime) -> Columns:
    """The columns of a concern that ended so."""
    return {
        "state": "closed",
        "ending": ending.value,
        "cured_by_note_id": cured_by if ending is Ending.CURED_BY_REFLASH else None,
        "other_cause": other_cause.strip(),
        "closed_on": on,
        "closed_at": at,
    }


def add_events(session: Session, stamp: Stamp, sat: Iterable[tuple[int, ProgrammingEventDraft]]) -> list[int]:
    """Programming events of (vehicle, draft), without their modules and other work."""
    more = {**_made(stamp), "recorded_at": stamp.at, "technician": "" if stamp.import_id else stamp.by}
    rows = [{**columns(draft, _EVENT), "vehicle_id": vehicle_id, **more} for vehicle_id, draft in sat]
    return insert_rows(session, ProgrammingEvent, rows)


def add_other_work(session: Session, done: Iterable[tuple[int, str, int | None]]) -> list[int]:
    """Of (event, what was done, history row)."""
    named = ("event_id", "what", "history_row_id")
    return insert_rows(session, OtherWork, [dict(zip(named, one, strict=True)) for one in done])


def add_reflashes(session: Session, done: Iterable[tuple[int, int, ModuleResult]]) -> list[int]:
    """Modules of (event, position, result)."""
    rows = [
        {**columns(module, _RESULT), "event_id": event_id, "position": position}
        for event_id, position, module in done
    ]
    return insert_rows(session, Reflash, rows)


def add_outcomes(session: Session, stamp: Stamp, done: Iterable[Done]) -> None:
    """Outcomes whose stories are still to be told (`renew_outcomes`)."""
    rows = [
        {
            **_NOT_TOLD_YET,
            **one.columns(),
            **columns(one, ("reflash_id", "concern_id", "history_row_id")),
            "update_id": one.module.update_id,
            "reflashed_on": one.sitting.performed_on,
            "installed": one.module.result in INSTALLED,
            "shop_id": stamp.shop_id,
            "import_id": stamp.import_id,
        }
        for one in done
    ]
    add_rows(session, Outcome, rows)


def add_follow_ups(session: Session, stamp: Stamp, told: Iterable[Told]) -> list[int]:
    more = {"by": stamp.by, "recorded_at": stamp.at, "import_id": stamp.import_id, "version": 1}
    beside = ("concern_id", "at_visit", "settled_call_on", "history_row_id")
    rows = [{**columns(one.draft, FOLLOW_UP), **columns(one, beside), **more} for one in told]
    return insert_rows(session, FollowUpRow, rows)


def put(
    session: Session, model: type[SQLModel], told: Mapping[int, Columns], *where: ColumnElement[bool]
) -> None:
    """Write columns over those of the rows with these ids that fulfill the conditions."""
    if not told:
        return
    table = table_of(model)
    names = next(iter(told.values()))
    change = update(table).where(table.c.id == bindparam("row_id"), *where)
    session.flush()
    session.connection().execute(
        change.values({name: bindparam(f"new_{name}") for name in names}),
        [
            {"row_id": row_id, **{f"new_{name}": value for name, value in one.items()}}
            for row_id, one in told.items()
        ],
    )


def _made(stamp: Stamp) -> Columns:
    return {"shop_id": stamp.shop_id, "import_id": stamp.import_id, "version": 1}


def _plain(value: Any) -> Any:
    if isinstance(value, Enum):
        return value.value
    return list(value) if isinstance(value, tuple) else value
