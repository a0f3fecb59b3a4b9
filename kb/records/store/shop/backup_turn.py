"""Whose turn it is to make the copies of a shop on PostgreSQL."""

from __future__ import annotations

from sqlmodel import Session, col

from kb.records.store.rows import rows_where
from kb.records.tables import BackupTurn


def of(session: Session, shop_id: int) -> BackupTurn | None:
    """The one row of the shop; None before its first copy."""
    return next(iter(rows_where(session, BackupTurn, col(BackupTurn.shop_id) == shop_id)), None)
