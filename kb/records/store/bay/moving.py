"""A repair order that turns out to be of another vehicle: what goes there with it."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import Select, exists, select, update
from sqlmodel import Session, col

from kb.records.tables import (
    Authorization,
    ConcernRow,
    LookUpRow,
    Outcome,
    Payment,
    ProgrammingEvent,
    Reflash,
    RepairOrder,
)


def is_alone_on_its_vehicle(session: Session, order: RepairOrder) -> bool:
    """Whether the vehicle has no other repair order."""
    others = select(col(RepairOrder.id)).where(
        col(RepairOrder.vehicle_id) == order.vehicle_id, col(RepairOrder.id) != order.id
    )
    return session.execute(others.limit(1)).first() is None


def counts_elsewhere(session: Session, order: RepairOrder) -> bool:
    """Whether a sitting of this repair order counts for a concern of another one too."""
    others = (
        select(col(Outcome.id))
        .join(Reflash, col(Reflash.id) == col(Outcome.reflash_id))
        .where(col(Reflash.event_id).in_(_sittings(order)), col(Outcome.concern_id).not_in(_lines(order)))
    )
    return session.execute(others.limit(1)).first() is not None


def move(session: Session, order: RepairOrder, vehicle_id: int, revision: int) -> None:
    """Put a repair order on a vehicle with its sittings and look-ups; the search reads its lines anew."""
    sittings = col(ProgrammingEvent.id).in_(_sittings(order))
    looked_up = col(LookUpRow.concern_id).in_(_lines(order))
    lines = col(ConcernRow.repair_order_id) == order.id
    session.execute(update(ProgrammingEvent).where(sittings).values(vehicle_id=vehicle_id))
    session.execute(update(LookUpRow).where(looked_up).values(vehicle_id=vehicle_id))
    session.execute(update(ConcernRow).where(lines).values(changed_revision=revision))
    order.vehicle_id = vehicle_id
    order.version += 1
    session.flush()


def join(session: Session, order: RepairOrder, into: RepairOrder, lines: Mapping[int, str]) -> None:
    """Make the concerns of one repair order lines of another, by id, with its money; then it is no more."""
    for concern_id, line in lines.items():
        at = col(ConcernRow.id) == concern_id
        session.execute(update(ConcernRow).where(at).values(repair_order_id=into.id, line=line))
    for table in (Authorization, Payment):
        its = update(table).where(col(table.repair_order_id) == order.id)
        session.execute(its.values(repair_order_id=into.id))
    into.odometer, into.phone = into.odometer or order.odometer, into.phone or order.phone
    into.version += 1
    session.delete(order)
    session.flush()


def is_bare(session: Session, vehicle_id: int) -> bool:
    """Whether nothing on file is of this vehicle any more."""
    held = (RepairOrder, ProgrammingEvent, LookUpRow)
    return not any(
        session.execute(select(exists().where(col(table.vehicle_id) == vehicle_id))).scalar()
        for table in held
    )


def _lines(order: RepairOrder) -> Select[int | None]:
    return select(col(ConcernRow.id)).where(col(ConcernRow.repair_order_id) == order.id)


def _sittings(order: RepairOrder) -> Select[int]:
    return (
        select(col(Reflash.event_id))
        .join(Outcome, col(Outcome.reflash_id) == col(Reflash.id))
        .where(col(Outcome.concern_id).in_(_lines(order)))
    )
