"""Recalls: titles and coverage of the notes that may be one, and what look-ups by VIN said of them."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import select
from sqlmodel import Session, col

from kb.records.tables import RecallLookUp


def put(
    session: Session,
    concern_id: int,
    *,
    number: str,
    result: str,
    touches: bool | None,
    by: str,
    on: date,
    at: datetime,
) -> None:
    """Write what was said of one number on one concern, in place of what was said before."""
    row = session.execute(
        select(RecallLookUp).where(
            col(RecallLookUp.concern_id) == concern_id, col(RecallLookUp.number) == number
        )
    ).scalar_one_or_none()
    row = row or RecallLookUp(concern_id=concern_id, number=number, result=result, by=by, on=on, at=at)
    row.result, row.touches, row.by, row.on, row.at = result, touches, by, on, at
    session.add(row)
    session.flush()
