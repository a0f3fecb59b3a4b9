"""Imported visits of vehicles that were reflashed before."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import NamedTuple

from sqlalchemy import and_, case, exists, func, or_, select
from sqlmodel import Session, col

from kb.nouns.outcomes import OPEN_KINDS, CountedAs
from kb.records.store.imports.bulk import delete_where, runs, table_of
from kb.records.tables import ConcernRow, FollowUpRow, Outcome, ProgrammingEvent, Reflash, RepairOrder


class Pair(NamedTuple):
    """A concern of a visit, and one that was reflashed before and is open, of the same vehicle.

    `brought_by`: the import that the later of the two came with.
    """

    visit: int
    visit_order: int
    visited_on: date
    earlier: int
    brought_by: int

    @property
    def concerns(self) -> tuple[int, int]:
        return self.visit, self.earlier


TOLD_BY_A_VISIT = and_(col(FollowUpRow.at_visit).is_not(None), col(FollowUpRow.import_id).is_not(None))
"""What an import told of another concern by a visit alone; nobody has said it."""


def pairs_of_vehicles(session: Session, vehicle_ids: Iterable[int]) -> Iterator[Pair]:
    """Every pair of these vehicles of which an import brought one or both; by reflashed concern and visit.

    Left out: where something is known of the concern from that day on or later, other than by a visit alone.
    """
    for some in runs(sorted(set(vehicle_ids))):
        yield from _pairs(session, some)


def _pairs(session: Session, vehicle_ids: Sequence[int]) -> Iterator[Pair]:
    visit, order = table_of(ConcernRow).alias("visit"), table_of(RepairOrder).alias("visit_order")
    known = exists().where(
        col(FollowUpRow.concern_id) == col(Outcome.concern_id),
        col(FollowUpRow.seen_on) >= visit.c.opened_on,
        col(FollowUpRow.result).not_in(("no_answer", "new_complaint")),
        ~TOLD_BY_A_VISIT,
    )
    reflash_brought = and_(col(Outcome.import_id).is_not(None), visit.c.state == "closed")
    brought_by = func.max(
        case(
            (
                func.coalesce(visit.c.import_id, 0) > func.coalesce(col(Outcome.import_id), 0),
                visit.c.import_id,
            ),
            else_=col(Outcome.import_id),
        )
    )
    rows = session.execute(
        select(visit.c.id, visit.c.repair_order_id, visit.c.opened_on, col(ConcernRow.id), brought_by)
        .select_from(Outcome)
        .join(Reflash, col(Reflash.id) == col(Outcome.reflash_id))
        .join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
        .join(ConcernRow, col(ConcernRow.id) == col(Outcome.concern_id))
        .join(order, order.c.vehicle_id == col(ProgrammingEvent.vehicle_id))
        .join(visit, visit.c.repair_order_id == order.c.id)
        .where(
            order.c.vehicle_id.in_(vehicle_ids),
            or_(visit.c.import_id.is_not(None), reflash_brought),
            visit.c.repair_order_id != col(ConcernRow.repair_order_id),
            visit.c.opened_on > col(Outcome.reflashed_on),
            col(Outcome.counted_as).in_((CountedAs.TOGETHER, CountedAs.ONE_BY_ONE)),
            col(Outcome.event_kind).in_(OPEN_KINDS),
            ~known,
        )
        .group_by(visit.c.id, visit.c.repair_order_id, visit.c.opened_on, col(ConcernRow.id))
        .order_by(col(ConcernRow.id), visit.c.repair_order_id, visit.c.id)
    )
    return (Pair(*row) for row in rows)


class ToldByVisit(NamedTuple):
    """A follow-up that visits told."""

    concern_id: int
    at_visit: int
    result: str
    seen_on: date


def told_by_visits(session: Session, vehicle_ids: Iterable[int]) -> dict[ToldByVisit, int]:
    """What visits told of the concerns of these vehicles, each with its id."""
    found: dict[ToldByVisit, int] = {}
    for some in runs(sorted(set(vehicle_ids))):
        rows = session.execute(
            select(
                col(FollowUpRow.id),
                col(FollowUpRow.concern_id),
                col(FollowUpRow.at_visit),
                col(FollowUpRow.result),
                col(FollowUpRow.seen_on),
            )
            .join(ConcernRow, col(ConcernRow.id) == col(FollowUpRow.concern_id))
            .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
            .where(col(RepairOrder.vehicle_id).in_(some), TOLD_BY_A_VISIT)
        )
        found.update((ToldByVisit(*told), row_id) for row_id, *told in rows)
    return found


def forget_told(session: Session, follow_ups: Iterable[int]) -> None:
    """Take these away: what is on file does not tell them any more."""
    delete_where(session, FollowUpRow, "id", follow_ups)
