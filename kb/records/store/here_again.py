"""Earlier reflashes of a vehicle that is here again, and what was heard of them at its visits."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import and_, bindparam, or_, select
from sqlmodel import Session, col

from kb.records.store.bulk import runs
from kb.records.store.outcome_counts import counts
from kb.records.tables import ConcernRow, FollowUpRow, Outcome, ProgrammingEvent, Reflash, RepairOrder


@dataclass(frozen=True, slots=True)
class Earlier:
    """A reflash that counts, for a concern of another repair order than the visit's."""

    outcome: Outcome
    reflash: Reflash
    concern: ConcernRow
    order: RepairOrder


def earlier_reflashes(
    session: Session, vehicle_id: int, order_id: int, opened: tuple[date, datetime]
) -> list[Earlier]:
    """Of one vehicle, oldest first, up to the day and the moment that a visit of it was opened."""
    day, at = opened
    rows = session.execute(_EARLIER, {"vehicle": vehicle_id, "order": order_id, "day": day, "at": at})
    return [Earlier(*row) for row in rows]


_EARLIER = (
    select(Outcome, Reflash, ConcernRow, RepairOrder)
    .join(Reflash, col(Reflash.id) == col(Outcome.reflash_id))
    .join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
    .join(ConcernRow, col(ConcernRow.id) == col(Outcome.concern_id))
    .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
    .where(
        col(ProgrammingEvent.vehicle_id) == bindparam("vehicle"),
        col(RepairOrder.id) != bindparam("order"),
        col(Outcome.installed).is_(True),
        counts(),
        or_(
            col(Outcome.reflashed_on) < bindparam("day"),
            and_(
                col(Outcome.reflashed_on) == bindparam("day"),
                col(ProgrammingEvent.recorded_at) < bindparam("at"),
            ),
        ),
    )
    .order_by(col(Outcome.reflashed_on), col(Outcome.id))
)


def heard_since(session: Session, concern_ids: Iterable[int], day: date) -> dict[int, list[FollowUpRow]]:
    """What was heard of these concerns from a day on, by concern, as recorded."""
    found: dict[int, list[FollowUpRow]] = defaultdict(list)
    for some in runs(sorted(set(concern_ids))):
        rows = session.execute(
            select(FollowUpRow)
            .where(col(FollowUpRow.concern_id).in_(some), col(FollowUpRow.seen_on) >= day)
            .order_by(col(FollowUpRow.id))
        ).scalars()
        for row in rows:
            found[row.concern_id].append(row)
    return found


def visits_of_import(session: Session, import_id: int) -> list[tuple[int, int, int, date, datetime]]:
    """(concern, repair order, vehicle, day, moment) of the concerns that an import made, of vehicles on which
    something was programmed for another repair order.
    """
    done = select(col(ProgrammingEvent.vehicle_id)).distinct()
    query = (
        select(
            col(ConcernRow.id),
            col(RepairOrder.id),
            col(RepairOrder.vehicle_id),
            col(ConcernRow.opened_on),
            col(ConcernRow.opened_at),
        )
        .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
        .where(col(ConcernRow.import_id) == import_id, col(RepairOrder.vehicle_id).in_(done))
        .order_by(col(ConcernRow.id))
    )
    return [(row[0] or 0, row[1] or 0, row[2], row[3], row[4]) for row in session.execute(query)]
