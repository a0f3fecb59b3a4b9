"""What was programmed on one vehicle on one day."""

from __future__ import annotations

from datetime import date

from sqlalchemy import select
from sqlmodel import Session, col

from kb.records.tables import Outcome, ProgrammingEvent, Reflash


def reflashes_of_day(session: Session, vehicle_id: int, day: date) -> list[tuple[Reflash, ProgrammingEvent]]:
    """Every module programmed on a vehicle on a day, oldest first."""
    rows = session.execute(
        select(Reflash, ProgrammingEvent)
        .join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
        .where(col(ProgrammingEvent.vehicle_id) == vehicle_id, col(ProgrammingEvent.performed_on) == day)
        .order_by(col(Reflash.id))
    )
    return [(reflash, event) for reflash, event in rows]


def concerns_of_reflash(session: Session, reflash_id: int) -> list[int]:
    """Ids of the concerns that a module was programmed for."""
    query = select(col(Outcome.concern_id)).where(col(Outcome.reflash_id) == reflash_id)
    return list(session.execute(query.order_by(col(Outcome.id))).scalars())


def outcomes_of_event(session: Session, event_id: int) -> list[Outcome]:
    """The outcomes of every module of a sitting."""
    query = select(Outcome).join(Reflash, col(Reflash.id) == col(Outcome.reflash_id))
    return list(session.execute(query.where(col(Reflash.event_id) == event_id)).scalars())
