"""What the dates of outcomes rest on: what was reflashed for which concern, and again later."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import Select, bindparam, case, select
from sqlmodel import Session, col

from kb.records.store.bulk import runs
from kb.records.tables import ConcernRow, Outcome, ProgrammingEvent, Reflash, RepairOrder


@dataclass(frozen=True, slots=True)
class Reflashed:
    """An outcome with what its dates rest on beside the follow-ups. `closed_on`: with another cause."""

    outcome: Outcome
    module: str
    performed_on: date
    recorded_at: datetime
    vehicle_id: int
    closed_on: date | None


_REFLASHED = (
    select(
        Outcome,
        col(Reflash.module),
        col(ProgrammingEvent.performed_on),
        col(ProgrammingEvent.recorded_at),
        col(RepairOrder.vehicle_id),
        case((col(ConcernRow.ending) == "other_cause", col(ConcernRow.closed_on)), else_=None),
    )
    .join(Reflash, col(Reflash.id) == col(Outcome.reflash_id))
    .join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
    .join(ConcernRow, col(ConcernRow.id) == col(Outcome.concern_id))
    .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
    .where(col(Outcome.concern_id).in_(bindparam("concerns", expanding=True)))
)
_INSTALLED = (
    select(
        col(ProgrammingEvent.vehicle_id),
        col(Reflash.module),
        col(ProgrammingEvent.performed_on),
        col(Reflash.id),
    )
    .join(Reflash, col(Reflash.event_id) == col(ProgrammingEvent.id))
    .where(col(Reflash.module) != "", col(Reflash.result).in_(("completed", "recovered")))
    .order_by(
        col(ProgrammingEvent.vehicle_id),
        col(Reflash.module),
        col(ProgrammingEvent.performed_on),
        col(Reflash.id),
    )
)
_INSTALLED_IN = _INSTALLED.where(col(ProgrammingEvent.vehicle_id).in_(bindparam("vehicles", expanding=True)))


def reflashed(session: Session, concern_ids: Sequence[int]) -> list[Reflashed]:
    """What was reflashed for these concerns."""
    return [Reflashed(*row) for row in session.execute(_REFLASHED, {"concerns": concern_ids})]


def installed_days(
    session: Session, vehicle_ids: Iterable[int]
) -> dict[tuple[int, str], list[tuple[date, int]]]:
    """By vehicle and named module the (day, reflash id) of every installed reflash, in order of time."""
    found: dict[tuple[int, str], list[tuple[date, int]]] = defaultdict(list)
    for some in runs(sorted(set(vehicle_ids))):
        for vehicle_id, module, day, reflash_id in installed(session, some):
            found[vehicle_id, module].append((day, reflash_id))
    return found


def installed(session: Session, vehicles: Sequence[int] | Select[int]) -> list[tuple[int, str, date, int]]:
    """(vehicle, module, day, reflash id) of every installed reflash of a named module, each module's in order
    of time.
    """
    if isinstance(vehicles, Select):
        rows = session.execute(_INSTALLED.where(col(ProgrammingEvent.vehicle_id).in_(vehicles)))
    else:
        rows = session.execute(_INSTALLED_IN, {"vehicles": vehicles})
    return [(row[0], row[1], row[2], row[3] or 0) for row in rows]
