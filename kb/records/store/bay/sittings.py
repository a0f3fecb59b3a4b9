"""What was programmed on one vehicle on one day."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import bindparam, select
from sqlmodel import Session, col

from kb.records.store.imports.bulk import runs
from kb.records.tables import Outcome, ProgrammingEvent, Reflash


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
