"""Imported visits of vehicles that were reflashed before."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import date
from typing import NamedTuple

from sqlalchemy import and_, exists, or_, select
from sqlmodel import Session, col

from kb.nouns.outcomes import OPEN_KINDS, CountedAs
from kb.records.store.imports.bulk import table_of
from kb.records.tables import ConcernRow, FollowUpRow, Outcome, ProgrammingEvent, Reflash, RepairOrder


class Pair(NamedTuple):
    """A concern of a visit, and one that was reflashed before and is open, of the same vehicle."""

    visit: int
    visit_order: int
    visited_on: date
    earlier: int

    @property
    def concerns(self) -> tuple[int, int]:
        return self.visit, self.earlier


def pairs_of_import(
    session: Session, import_id: int, history_rows: Collection[int] | None = None
) -> Iterator[Pair]:
    """Of the visits and of the reflashes that an import brought, or of the reflashes of these `history_rows`
    and every visit; by reflashed concern and visit. Left out: where something is known of the concern from
    that day on or later.
    """
    visit, order = table_of(ConcernRow).alias("visit"), table_of(RepairOrder).alias("visit_order")
    known = exists().where(
        col(FollowUpRow.concern_id) == col(Outcome.concern_id),
        col(FollowUpRow.seen_on) >= visit.c.opened_on,
        col(FollowUpRow.result).not_in(("no_answer", "new_complaint")),
    )
    reflashed_here = and_(col(Outcome.import_id) == import_id, visit.c.state == "closed")
    brought = or_(visit.c.import_id == import_id, reflashed_here)
    if history_rows is not None:
        brought = and_(col(Outcome.history_row_id).in_(history_rows), visit.c.state == "closed")
    rows = session.execute(
        select(visit.c.id, visit.c.repair_order_id, visit.c.opened_on, col(ConcernRow.id))
        .select_from(Outcome)
        .join(Reflash, col(Reflash.id) == col(Outcome.reflash_id))
        .join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
        .join(ConcernRow, col(ConcernRow.id) == col(Outcome.concern_id))
        .join(order, order.c.vehicle_id == col(ProgrammingEvent.vehicle_id))
        .join(visit, visit.c.repair_order_id == order.c.id)
        .where(
            brought,
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
