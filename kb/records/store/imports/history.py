"""Bulk reading and writing of a shop's history: what is on file by natural key, and rows many at a time."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlmodel import Session, col

from kb.records.store.imports.bulk import runs
from kb.records.tables import (
    ConcernCandidate,
    ConcernRow,
    NoteRow,
    ProgrammingEvent,
    Reflash,
    RepairOrder,
    VehicleRow,
)


def vehicles_by_vin(session: Session, shop_id: int, vins: Iterable[str]) -> dict[str, int]:
    found: dict[str, int] = {}
    for some in runs(sorted(set(vins) - {""})):
        query = select(col(VehicleRow.vin), col(VehicleRow.id)).where(
            col(VehicleRow.shop_id) == shop_id, col(VehicleRow.vin).in_(some)
        )
        for row in session.execute(query.order_by(col(VehicleRow.id).desc())):
            found[row.vin] = row.id
    return found


def orders_of_vehicles(session: Session, vehicle_ids: Iterable[int]) -> dict[tuple[int, str], int]:
    """By vehicle and folded number; of several the last."""
    found: dict[tuple[int, str], int] = {}
    for some in runs(sorted(set(vehicle_ids))):
        query = select(col(RepairOrder.vehicle_id), col(RepairOrder.number), col(RepairOrder.id)).where(
            col(RepairOrder.vehicle_id).in_(some)
        )
        for row in session.execute(query.order_by(col(RepairOrder.id))):
            found[row.vehicle_id, fold(row.number)] = row.id
    return found


def concerns_of_orders(session: Session, order_ids: Iterable[int]) -> dict[tuple[int, str, str], int]:
    """By repair order, folded line and folded complaint; of several the first."""
    found: dict[tuple[int, str, str], int] = {}
    for some in runs(sorted(set(order_ids))):
        query = select(
            col(ConcernRow.repair_order_id),
            col(ConcernRow.line),
            col(ConcernRow.complaint),
            col(ConcernRow.id),
        ).where(col(ConcernRow.repair_order_id).in_(some))
        for row in session.execute(query.order_by(col(ConcernRow.id).desc())):
            found[row.repair_order_id, fold(row.line), fold(row.complaint)] = row.id
    return found


def events_of_vehicles(session: Session, vehicle_ids: Iterable[int]) -> dict[tuple[int, str, date], int]:
    """Programming events that a history brought, by vehicle, folded name (kept as the remark) and day."""
    found: dict[tuple[int, str, date], int] = {}
    for some in runs(sorted(set(vehicle_ids))):
        query = select(
            col(ProgrammingEvent.vehicle_id),
            col(ProgrammingEvent.remark),
            col(ProgrammingEvent.performed_on),
            col(ProgrammingEvent.id),
        ).where(col(ProgrammingEvent.vehicle_id).in_(some), col(ProgrammingEvent.import_id).is_not(None))
        for row in session.execute(query.order_by(col(ProgrammingEvent.id).desc())):
            found[row.vehicle_id, fold(row.remark), row.performed_on] = row.id
    return found


def reflashes_of_events(session: Session, event_ids: Iterable[int]) -> dict[tuple[int, str, int | None], int]:
    """By event, module and update."""
    found: dict[tuple[int, str, int | None], int] = {}
    for some in runs(sorted(set(event_ids))):
        query = select(
            col(Reflash.event_id), col(Reflash.module), col(Reflash.update_id), col(Reflash.id)
        ).where(col(Reflash.event_id).in_(some))
        for row in session.execute(query.order_by(col(Reflash.id).desc())):
            found[row.event_id, row.module, row.update_id] = row.id
    return found


def notes_by_number(session: Session, shop_id: int, numbers: Iterable[str]) -> dict[str, int]:
    """Bulletins by folded number: of several a published one before a draft, then the first; a merged one
    stands for the note that was kept in the end. Numbers are found as typed, in capitals and in small
    letters, and drafts of an earlier history in any writing.
    """
    plain = {" ".join(number.split()) for number in numbers if number.strip()}
    asked = {way for number in plain for way in (number, number.upper(), number.lower())}
    identities = {history_identity(number) for number in plain}
    rows: list[Any] = []
    for column, values in ((col(NoteRow.number), asked), (col(NoteRow.identity), identities)):
        for some in runs(sorted(values)):
            query = select(col(NoteRow.id), col(NoteRow.number), col(NoteRow.state)).where(
                col(NoteRow.shop_id) == shop_id, col(NoteRow.kind) == "bulletin", column.in_(some)
            )
            rows.extend(session.execute(query))
    merged = _merged_from(session, {row.id for row in rows})
    found: dict[str, int] = {}
    for row in sorted(rows, key=lambda one: (_RANK.get(one.state, 3), one.id)):
        found.setdefault(fold(row.number), _in_the_end(row.id, merged))
    return found


def _merged_from(session: Session, note_ids: set[int]) -> dict[int, int]:
    """Which of these notes, and of those they went into, and so on, were merged into which."""
    into: dict[int, int] = {}
    asked: set[int] = set()
    while note_ids:
        asked |= note_ids
        step: dict[int, int] = {}
        for some in runs(sorted(note_ids)):
            merged = select(col(NoteRow.id), col(NoteRow.merged_into_id)).where(
                col(NoteRow.id).in_(some), col(NoteRow.merged_into_id).is_not(None)
            )
            step.update((row[0] or 0, row[1] or 0) for row in session.execute(merged))
        into |= step
        note_ids = set(step.values()) - asked
    return into


def _in_the_end(note_id: int, into: Mapping[int, int]) -> int:
    seen: set[int] = set()
    while note_id in into and note_id not in seen:
        seen.add(note_id)
        note_id = into[note_id]
    return note_id


_RANK = {"published": 0, "draft": 1, "retired": 2}


def history_identity(number: str) -> str:
    """What a draft bulletin that a history made is recognised by."""
    return f"history:{fold(number)}"


def candidate_pairs(session: Session, concern_ids: Iterable[int]) -> set[tuple[int, int]]:
    """(concern, note) of the candidates that these concerns have already."""
    found: set[tuple[int, int]] = set()
    for some in runs(sorted(set(concern_ids))):
        pairs = select(col(ConcernCandidate.concern_id), col(ConcernCandidate.note_id))
        found.update(
            (row[0], row[1])
            for row in session.execute(pairs.where(col(ConcernCandidate.concern_id).in_(some)))
        )
    return found


def fold(text: str) -> str:
    """Text for comparing: no case, white space as one blank."""
    return " ".join(text.split()).casefold()
