"""Earlier reflashes of a vehicle that is here again, and what was heard of them at its visits."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import NamedTuple

from sqlalchemy import and_, bindparam, exists, or_, select
from sqlmodel import Session, col

from kb.nouns.outcomes import CountedAs
from kb.records.store.imports.bulk import runs, table_of
from kb.records.store.outcomes.outcome_counts import OPEN_KINDS, counts
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


class Pair(NamedTuple):
    """A concern of a visit, and one that was reflashed before and is open, of the same vehicle."""

    visit: int
    visit_order: int
    visited_on: date
    earlier: int

    @property
    def concerns(self) -> tuple[int, int]:
        return self.visit, self.earlier


def pairs_of_import(session: Session, import_id: int) -> Iterator[Pair]:
    """Of the visits and of the reflashes that an import brought; by reflashed concern and visit. Left out:
    where something is known of the concern from that day on or later.
    """
    visit, order = table_of(ConcernRow).alias("visit"), table_of(RepairOrder).alias("visit_order")
    known = exists().where(
        col(FollowUpRow.concern_id) == col(Outcome.concern_id),
        col(FollowUpRow.seen_on) >= visit.c.opened_on,
        col(FollowUpRow.result).not_in(("no_answer", "new_complaint")),
    )
    reflashed_here = and_(col(Outcome.import_id) == import_id, visit.c.state == "closed")
    rows = session.execute(
        select(visit.c.id, visit.c.repair_order_id, visit.c.opened_on, col(ConcernRow.id))
        .select_from(Outcome)
        .join(Reflash, col(Reflash.id) == col(Outcome.reflash_id))
        .join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
        .join(ConcernRow, col(ConcernRow.id) == col(Outcome.concern_id))
        .join(order, order.c.vehicle_id == col(ProgrammingEvent.vehicle_id))
        .join(visit, visit.c.repair_order_id == order.c.id)
        .where(
            or_(visit.c.import_id == import_id, reflashed_here),
            visit.c.repair_order_id != col(ConcernRow.repair_order_id),
            visit.c.opened_on > col(Outcome.reflashed_on),
            col(Outcome.counted_as).in_((CountedAs.TOGETHER, CountedAs.ONE_BY_ONE)),
            col(Outcome.event_kind).in_(OPEN_KINDS),
            ~known,
        )
        .distinct()
        .order_by(col(ConcernRow.id), visit.c.repair_order_id, visit.c.id)
    )
    return (Pair(*row) for row in rows)
