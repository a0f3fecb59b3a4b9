"""What a person or a history tells, as rows: the one place where drafts become columns, many at a time.

A field of a draft goes into the column of its name; a column that nothing names takes its default.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import date, datetime
from enum import Enum
from functools import cache
from typing import Any

from sqlalchemy import ColumnElement, bindparam, update
from sqlmodel import Session, SQLModel

from kb.nouns.bay.next_up import NextUp
from kb.nouns.bay.waiting import Waiting
from kb.nouns.concerns import (
    INSTALLED,
    ConcernDraft,
    Ending,
    FollowUpDraft,
    ModuleResult,
    ProgrammingEventDraft,
    ReportedCode,
)
from kb.nouns.shop.ways import Way
from kb.nouns.vehicles import Vehicle
from kb.records.store.imports.bulk import insert_rows, table_of
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


@dataclass(frozen=True, slots=True)
class Told:
    """What was heard of a concern: at which visit, settling which promised call, from which history row."""

    concern_id: int
    draft: FollowUpDraft
    at_visit: int | None = None
    settled_call_on: date | None = None
    history_row_id: int | None = None


def columns(model: type[SQLModel], *said: Any) -> Columns:
    """What these say for a row of that table."""
    return {name: _plain(getattr(one, name)) for one in said for name in _shared(model, one.__class__)}


def of_outcome(sitting: ProgrammingEventDraft, odometer: int | None) -> Columns:
    """What of an outcome may be told otherwise later."""
    said = columns(Outcome, sitting)
    return said | {"odometer": odometer, "other_work": bool(sitting.other_work)}


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


def waits(waiting: Waiting | None = None) -> Columns:
    """The columns of a concern that waits for that, or for nothing."""
    return {
        "waiting_for": waiting.waiting_for.value if waiting else "",
        "waiting_remark": waiting.remark if waiting else "",
        "waiting_by": waiting.by if waiting else "",
        "waiting_since": waiting.since if waiting else None,
    }


def comes_next(next_up: NextUp | None = None) -> Columns:
    """The columns of a concern on which that is next, or nothing is said of it."""
    return {
        "next_what": next_up.what if next_up else "",
        "next_who": next_up.who if next_up else "",
        "next_by": next_up.by if next_up else "",
        "next_since": next_up.since if next_up else None,
    }


def add_vehicles(session: Session, stamp: Stamp, vehicles: Iterable[Vehicle]) -> list[int]:
    return insert_rows(session, VehicleRow, [_row(VehicleRow, one, stamp) for one in vehicles])


def add_orders(session: Session, stamp: Stamp, opened: Iterable[tuple[int, ConcernDraft]]) -> list[int]:
    """Repair orders of (vehicle, first line)."""
    rows = [_row(RepairOrder, one, stamp, vehicle_id=at, number=one.ro_number) for at, one in opened]
    return insert_rows(session, RepairOrder, rows)


def add_concerns(
    session: Session, stamp: Stamp, opened: Sequence[tuple[int, ConcernDraft]], revision: int = 0
) -> list[int]:
    """Concerns of (repair order, draft) with their codes; found by the search from `revision` on."""
    more = {"opened_at": stamp.at, "opened_by": stamp.by, "changed_revision": revision}
    rows = [_row(ConcernRow, draft, stamp, repair_order_id=at, **more) for at, draft in opened]
    ids = insert_rows(session, ConcernRow, rows)
    lines = zip(ids, opened, strict=True)
    add_codes(session, [(one, code) for one, (_, draft) in lines for code in draft.codes])
    return ids


def add_codes(session: Session, scanned: Iterable[tuple[int, ReportedCode]]) -> list[int]:
    """Of (concern, code)."""
    return insert_rows(session, ConcernCode, [_row(ConcernCode, one, concern_id=at) for at, one in scanned])


def add_events(session: Session, stamp: Stamp, sat: Iterable[tuple[int, ProgrammingEventDraft]]) -> list[int]:
    """Programming events of (vehicle, draft), without their modules and other work."""
    rows = [
        _row(
            ProgrammingEvent,
            draft,
            stamp,
            vehicle_id=at,
            recorded_at=stamp.at,
            technician=stamp.by if draft.way is Way.HERE and not stamp.import_id else "",
        )
        for at, draft in sat
    ]
    return insert_rows(session, ProgrammingEvent, rows)


def add_other_work(session: Session, done: Iterable[tuple[int, str, int | None]]) -> list[int]:
    """Of (event, what was done, history row)."""
    named = ("event_id", "what", "history_row_id")
    return insert_rows(session, OtherWork, [dict(zip(named, one, strict=True)) for one in done])


def add_reflashes(session: Session, done: Iterable[tuple[int, int, ModuleResult]]) -> list[int]:
    """Modules of (event, position, result)."""
    rows = [_row(Reflash, module, event_id=at, position=position) for at, position, module in done]
    return insert_rows(session, Reflash, rows)


def add_outcomes(session: Session, stamp: Stamp, done: Iterable[Done]) -> list[int]:
    """Outcomes whose stories are still to be told (`renew_outcomes`)."""
    rows = [
        _row(
            Outcome,
            one.module,
            one,
            stamp,
            reflashed_on=one.sitting.performed_on,
            installed=one.module.result in INSTALLED,
            **of_outcome(one.sitting, one.odometer),
        )
        for one in done
    ]
    return insert_rows(session, Outcome, rows)


def add_follow_ups(session: Session, stamp: Stamp, told: Iterable[Told]) -> list[int]:
    rows = [_row(FollowUpRow, one.draft, one, stamp, recorded_at=stamp.at) for one in told]
    return insert_rows(session, FollowUpRow, rows)


def put(
    session: Session, model: type[SQLModel], told: Mapping[int, Columns], *where: ColumnElement[bool]
) -> None:
    """Write columns over those of the rows with these ids that fulfill the conditions."""
    if not told:
        return
    table = table_of(model)
    new = {name: f"new_{name}" for name in next(iter(told.values()))}
    change = update(table).where(table.c.id == bindparam("row_id"), *where)
    rows = [{"row_id": at, **{new[name]: said for name, said in one.items()}} for at, one in told.items()]
    session.flush()
    session.connection().execute(change.values({name: bindparam(new[name]) for name in new}), rows)


def _row(model: type[SQLModel], *said: Any, **more: Any) -> Columns:
    return {**_defaults(model), **columns(model, *said), **more}


@cache
def _shared(model: type[SQLModel], draft: type[Any]) -> tuple[str, ...]:
    return tuple(one.name for one in fields(draft) if one.name in model.model_fields)


@cache
def _defaults(model: type[SQLModel]) -> Columns:
    found = model.model_fields.items()
    return {
        name: one.get_default(call_default_factory=True)
        for name, one in found
        if name != "id" and not one.is_required()
    }


def _plain(value: Any) -> Any:
    if isinstance(value, Enum):
        return value.value
    return list(value) if isinstance(value, tuple) else value
