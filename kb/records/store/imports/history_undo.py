"""Taking a history back: what of it somebody used since, and deleting the rest from the leaves up."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Select, and_, bindparam, delete, exists, or_, select, true
from sqlmodel import Session, SQLModel, col

from kb.records.store.imports.bulk import delete_where, runs, table_of
from kb.records.tables import (
    Authorization,
    CalibrationRow,
    ConcernCandidate,
    ConcernCode,
    ConcernRow,
    DecisionRow,
    FindingRow,
    FollowUpRow,
    Gate,
    ImportedRow,
    LookUpRow,
    OtherWork,
    Outcome,
    Payment,
    PrepTick,
    ProgrammingEvent,
    Reflash,
    RepairOrder,
    StopLift,
    Trail,
    VehicleRow,
)

_WORK_ON_A_CONCERN: tuple[type[SQLModel], ...] = (
    CalibrationRow,
    DecisionRow,
    FindingRow,
    Gate,
    LookUpRow,
    PrepTick,
    StopLift,
)
_AT_A_VISIT = and_(col(FollowUpRow.at_visit).is_not(None), col(FollowUpRow.import_id).is_not(None))
"""What an import told of another concern by a visit alone; nobody has said it."""
Place = tuple[int, int, int | None]
"""A concern's repair order, vehicle and the import that made it."""


def places_of(session: Session, concern_ids: Iterable[int]) -> dict[int, Place]:
    """Where these concerns belong."""
    found: dict[int, Place] = {}
    for some in runs(sorted(set(concern_ids))):
        query = (
            select(
                col(ConcernRow.id),
                col(ConcernRow.repair_order_id),
                col(RepairOrder.vehicle_id),
                col(ConcernRow.import_id),
            )
            .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
            .where(col(ConcernRow.id).in_(some))
        )
        found.update({row[0] or 0: (row[1], row[2], row[3]) for row in session.execute(query)})
    return found


def used_since(session: Session, concern_ids: Iterable[int], import_id: int) -> set[int]:
    """Concerns that somebody edited or worked on, or that another import told more of."""
    used: set[int] = set()
    for some in runs(sorted(set(concern_ids))):
        edited = select(col(ConcernRow.id)).where(col(ConcernRow.id).in_(some), col(ConcernRow.version) != 1)
        used.update(one or 0 for one in session.execute(edited).scalars())
        for model in _WORK_ON_A_CONCERN:
            column = table_of(model).c.concern_id
            used.update(session.execute(select(column).where(column.in_(some)).distinct()).scalars())
        for query in (*_told_elsewhere(some, import_id), *_money_or_promise(some, import_id)):
            used.update(one or 0 for one in session.execute(query.distinct()).scalars())
    return used


def touched_since(session: Session, concern_ids: Iterable[int], import_id: int) -> set[int]:
    """Concerns that the trail tells something of after the import began, such as a road test."""
    about_it = and_(col(Trail.noun) == "import", col(Trail.noun_id) == import_id)
    began = session.execute(select(col(Trail.id)).where(about_it).order_by(col(Trail.id)).limit(1)).scalar()
    touched: set[int] = set()
    for some in runs(sorted(set(concern_ids))):
        since = select(col(Trail.noun_id)).where(
            col(Trail.id) > (began or 0), col(Trail.noun) == "concern", col(Trail.noun_id).in_(some)
        )
        touched.update(one or 0 for one in session.execute(since.distinct()).scalars())
    return touched


def _told_elsewhere(some: list[int], import_id: int) -> list[Select[Any]]:
    """Concerns with an outcome or follow-up that is not of this import, or a row that another one changed."""
    queries: list[Select[Any]] = []
    for model in (Outcome, FollowUpRow):
        table = table_of(model)
        elsewhere = or_(table.c.import_id.is_(None), table.c.import_id != import_id)
        said = ~_AT_A_VISIT if model is FollowUpRow else true()
        queries.append(select(table.c.concern_id).where(table.c.concern_id.in_(some), elsewhere, said))
    changed = select(col(ImportedRow.noun_id)).where(
        col(ImportedRow.noun) == "history row",
        col(ImportedRow.noun_id).in_(some),
        col(ImportedRow.import_id) != import_id,
    )
    return [*queries, changed]


def _money_or_promise(some: list[int], import_id: int) -> list[Select[Any]]:
    """Concerns with a promised call, or with money on the order that this import made for them."""
    queries: list[Select[Any]] = [
        select(col(Outcome.concern_id)).where(
            col(Outcome.concern_id).in_(some), col(Outcome.ask_on).is_not(None)
        )
    ]
    for model in (Authorization, Payment):
        of_order = table_of(model).c.repair_order_id == col(ConcernRow.repair_order_id)
        queries.append(
            select(col(ConcernRow.id))
            .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
            .join(table_of(model), of_order)
            .where(col(ConcernRow.id).in_(some), col(RepairOrder.import_id) == import_id)
        )
    return queries


def delete_told(session: Session, concern_ids: Iterable[int], import_id: int) -> None:
    """Outcomes and follow-ups that the import told of these concerns, with its reflashes and events."""
    reflashes: set[int] = set()
    for some in runs(sorted(set(concern_ids))):
        told = and_(col(Outcome.concern_id).in_(some), col(Outcome.import_id) == import_id)
        reflashes.update(session.execute(select(col(Outcome.reflash_id)).where(told)).scalars())
        session.execute(delete(Outcome).where(told))
        own = col(FollowUpRow.import_id) == import_id
        session.execute(delete(FollowUpRow).where(col(FollowUpRow.concern_id).in_(some), own | _AT_A_VISIT))
        session.execute(delete(FollowUpRow).where(col(FollowUpRow.at_visit).in_(some), own))
    _delete_reflashes(session, reflashes, import_id)


def delete_concerns(session: Session, concern_ids: Iterable[int]) -> None:
    ids = list(concern_ids)
    delete_where(session, ConcernCode, "concern_id", ids)
    delete_where(session, ConcernCandidate, "concern_id", ids)
    delete_where(session, ConcernRow, "id", ids)


def delete_empty_orders(session: Session, order_ids: Iterable[int], import_id: int) -> None:
    """Repair orders that the import made and nothing stands on any more."""
    for some in runs(sorted(set(order_ids))):
        session.execute(
            delete(RepairOrder).where(
                col(RepairOrder.id).in_(some),
                col(RepairOrder.import_id) == import_id,
                col(RepairOrder.version) == 1,
                *(
                    ~exists().where(table_of(model).c.repair_order_id == col(RepairOrder.id))
                    for model in (ConcernRow, Authorization, Payment)
                ),
            )
        )


def delete_empty_vehicles(session: Session, vehicle_ids: Iterable[int], import_id: int) -> None:
    """Vehicles that the import made and nothing belongs to any more."""
    for some in runs(sorted(set(vehicle_ids))):
        session.execute(
            delete(VehicleRow).where(
                col(VehicleRow.id).in_(some),
                col(VehicleRow.import_id) == import_id,
                col(VehicleRow.version) == 1,
                *(
                    ~exists().where(table_of(model).c.vehicle_id == col(VehicleRow.id))
                    for model in (RepairOrder, ProgrammingEvent, LookUpRow)
                ),
            )
        )


def left_of(session: Session, import_id: int) -> list[tuple[str, int, str]]:
    """(noun, id, name) of the vehicles and repair orders of an import that are still there."""
    vehicles = select(col(VehicleRow.id), col(VehicleRow.vin)).where(col(VehicleRow.import_id) == import_id)
    orders = select(col(RepairOrder.id), col(RepairOrder.number)).where(
        col(RepairOrder.import_id) == import_id
    )
    found = [("vehicle", row[0] or 0, row[1] or "without VIN") for row in session.execute(vehicles)]
    return found + [("repair order", row[0] or 0, f"RO {row[1]}") for row in session.execute(orders)]


def concerns_reflashed(session: Session, vehicle_ids: Iterable[int]) -> list[int]:
    """Concerns of these vehicles for which something was reflashed."""
    found: set[int] = set()
    for some in runs(sorted(set(vehicle_ids))):
        found.update(session.execute(_REFLASHED_FOR, {"vehicles": some}).scalars())
    return sorted(found)


_REFLASHED_FOR = (
    select(col(Outcome.concern_id))
    .join(Reflash, col(Reflash.id) == col(Outcome.reflash_id))
    .join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
    .where(col(ProgrammingEvent.vehicle_id).in_(bindparam("vehicles", expanding=True)))
)


def _delete_reflashes(session: Session, reflash_ids: Iterable[int], import_id: int) -> None:
    """Reflashes without an outcome, then events of the import without a reflash."""
    events: set[int] = set()
    for some in runs(sorted(set(reflash_ids))):
        orphan = and_(col(Reflash.id).in_(some), ~exists().where(col(Outcome.reflash_id) == col(Reflash.id)))
        events.update(session.execute(select(col(Reflash.event_id)).where(orphan)).scalars())
        session.execute(delete(Reflash).where(orphan))
    for some in runs(sorted(events)):
        empty = select(col(ProgrammingEvent.id)).where(
            col(ProgrammingEvent.id).in_(some),
            col(ProgrammingEvent.import_id) == import_id,
            ~exists().where(col(Reflash.event_id) == col(ProgrammingEvent.id)),
        )
        gone = [one or 0 for one in session.execute(empty).scalars()]
        delete_where(session, OtherWork, "event_id", gone)
        delete_where(session, ProgrammingEvent, "id", gone)
