"""Rows of what was sent in and taken."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import delete, select
from sqlmodel import Session, col

from kb.records.store.rows import save
from kb.records.tables import SentOnce


def with_key(session: Session, key_hash: str) -> SentOnce | None:
    return session.execute(select(SentOnce).where(col(SentOnce.key_hash) == key_hash)).scalar_one_or_none()


def keep(session: Session, row: SentOnce, older_than: datetime) -> None:
    """Write the row, and drop those from before `older_than`."""
    session.execute(delete(SentOnce).where(col(SentOnce.at) < older_than))
    save(session, row)
