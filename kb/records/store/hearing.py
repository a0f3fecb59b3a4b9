"""One follow-up at a time, and when a vehicle was last tried."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from sqlalchemy import select
from sqlmodel import Session, col

from kb.records.store.bulk import runs
from kb.records.tables import ConcernRow, FollowUpRow

TRIED = ("no_answer", "new_complaint")
"""What leaves the question open how the vehicle does with its first concern."""


def follow_up(session: Session, shop_id: int, follow_up_id: int) -> FollowUpRow | None:
    return session.execute(
        select(FollowUpRow)
        .join(ConcernRow, col(ConcernRow.id) == col(FollowUpRow.concern_id))
        .where(col(ConcernRow.shop_id) == shop_id, col(FollowUpRow.id) == follow_up_id)
    ).scalar_one_or_none()


def remove(session: Session, row: FollowUpRow) -> None:
    session.delete(row)
    session.flush()


def last_tried(session: Session, concern_ids: Sequence[int]) -> dict[int, tuple[date, str]]:
    """By concern the last day on which somebody asked without an answer, and what came of it."""
    found: dict[int, tuple[date, str]] = {}
    for some in runs(sorted(set(concern_ids))):
        query = (
            select(col(FollowUpRow.concern_id), col(FollowUpRow.seen_on), col(FollowUpRow.result))
            .where(col(FollowUpRow.concern_id).in_(some), col(FollowUpRow.result).in_(TRIED))
            .order_by(col(FollowUpRow.seen_on), col(FollowUpRow.id))
        )
        found.update({row[0]: (row[1], row[2]) for row in session.execute(query)})
    return found
