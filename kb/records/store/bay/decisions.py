"""Every frozen decision of the shop, for looking back on what was advised."""

from __future__ import annotations

from datetime import datetime
from typing import Any, NamedTuple

from sqlalchemy import func, select
from sqlmodel import Session, col

from kb.records.store.rows import columns
from kb.records.tables import ConcernRow, DecisionRow


class FrozenDecision(NamedTuple):
    """One decision: the advice as it was said, and the inputs that it rests on, as JSON trees."""

    id: int
    concern_id: int
    at: datetime
    verdict: str
    advice: dict[str, Any]
    inputs: dict[str, Any]


def last_id(session: Session, shop_id: int) -> int:
    """The newest decision's id, or 0: it tells whether what was worked out is still all there is."""
    newest = session.execute(
        select(func.max(col(DecisionRow.id)))
        .join(ConcernRow, col(ConcernRow.id) == col(DecisionRow.concern_id))
        .where(col(ConcernRow.shop_id) == shop_id)
    ).scalar_one()
    return newest or 0


def latest_inputs(session: Session, shop_id: int, most: int) -> list[dict[str, Any]]:
    """What the last decision on each of the closed concerns decided last rests on, newest first."""
    last = (
        select(func.max(col(DecisionRow.id)).label("id"))
        .join(ConcernRow, col(ConcernRow.id) == col(DecisionRow.concern_id))
        .where(col(ConcernRow.shop_id) == shop_id, col(ConcernRow.state) == "closed")
        .group_by(col(DecisionRow.concern_id))
        .order_by(func.max(col(DecisionRow.id)).desc())
        .limit(most)
        .subquery()
    )
    rows = session.execute(
        select(col(DecisionRow.inputs))
        .join(last, last.c.id == col(DecisionRow.id))
        .order_by(last.c.id.desc())
    )
    return list(rows.scalars())


def every_decision(session: Session, shop_id: int) -> list[FrozenDecision]:
    """In the order in which they were taken."""
    rows = session.execute(
        select(*columns(DecisionRow, FrozenDecision._fields))
        .join(ConcernRow, col(ConcernRow.id) == col(DecisionRow.concern_id))
        .where(col(ConcernRow.shop_id) == shop_id)
        .order_by(col(DecisionRow.at), col(DecisionRow.id))
    )
    return [FrozenDecision(*row) for row in rows]
