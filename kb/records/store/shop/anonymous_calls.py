"""How many calls each address without sign-in has left."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import delete
from sqlmodel import Session, col

from kb.records.store.rows import rows_where
from kb.records.tables import AnonymousCalls


def of(session: Session, shop_id: int, address: str) -> AnonymousCalls | None:
    theirs = (col(AnonymousCalls.shop_id) == shop_id, col(AnonymousCalls.address) == address)
    return next(iter(rows_where(session, AnonymousCalls, *theirs)), None)


def forget_older(session: Session, shop_id: int, than: datetime) -> None:
    """Those that have all their calls again: the same as if they had never called."""
    session.execute(
        delete(AnonymousCalls).where(
            col(AnonymousCalls.shop_id) == shop_id, col(AnonymousCalls.counted_at) < than
        )
    )
