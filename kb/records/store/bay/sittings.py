"""What was programmed on one vehicle on one day."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import bindparam, select
from sqlmodel import Session, col

from kb.records.store.imports.bulk import runs
from kb.records.tables import ConcernRow, Outcome, ProgrammingEvent, Reflash, RepairOrder


@dataclass(frozen=True, slots=True)
class Installed:
    """One module that was programmed to the end, with one of the concerns it was done for."""

    reflash: Reflash
    event: ProgrammingEvent
    outcome: Outcome
    concern: ConcernRow
    order: RepairOrder


def installed_on(session: Session, vehicle_id: int) -> list[Installed]:
    """What was installed in a vehicle's modules, oldest first, once for each concern it was done for."""
    rows = session.execute(
        select(Reflash, ProgrammingEvent, Outcome, ConcernRow, RepairOrder)
        .join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
        .join(Outcome, col(Outcome.reflash_id) == col(Reflash.id))
        .join(ConcernRow, col(ConcernRow.id) == col(Outcome.concern_id))
        .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
        .where(col(ProgrammingEvent.vehicle_id) == vehicle_id, col(Outcome.installed).is_(True))
        .order_by(col(ProgrammingEvent.performed_on), col(Reflash.id), col(Outcome.id))
    )
    return [Installed(*row) for row in rows]


def reflashes_of_day(session: Session, vehicle_id: int, day: date) -> list[tuple[Reflash, ProgrammingEvent]]:
    """Every module programmed on a vehicle on a day, oldest first."""
    rows = session.execute(
        select(Reflash, ProgrammingEvent)
        .join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
        .where(col(ProgrammingEvent.vehicle_id) == vehicle_id, col(ProgrammingEvent.performed_on) == day)
        .order_by(col(Reflash.id))
    )
    return [(reflash, event) for reflash, event in rows]


def reflashes_since(session: Session, vehicle_id: int, day: date) -> list[tuple[Reflash, ProgrammingEvent]]:
    """Every module programmed on a vehicle from a day on, oldest first."""
    rows = session.execute(
        select(Reflash, ProgrammingEvent)
        .join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
        .where(col(ProgrammingEvent.vehicle_id) == vehicle_id, col(ProgrammingEvent.performed_on) >= day)
        .order_by(col(ProgrammingEvent.performed_on), col(Reflash.id))
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
