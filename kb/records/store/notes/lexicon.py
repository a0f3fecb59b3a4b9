"""The shop's own entries of the lexicon; kept when undone."""

from __future__ import annotations

from sqlalchemy import select
from sqlmodel import Session, col

from kb.records.tables import LexiconEntry


def entries(session: Session, shop_id: int) -> list[LexiconEntry]:
    """Every entry ever made, the newest first."""
    found = select(LexiconEntry).where(col(LexiconEntry.shop_id) == shop_id)
    return list(session.execute(found.order_by(col(LexiconEntry.id).desc())).scalars())


def entry(session: Session, shop_id: int, entry_id: int) -> LexiconEntry | None:
    row = session.get(LexiconEntry, entry_id, populate_existing=True)
    return row if row is not None and row.shop_id == shop_id else None


def add(session: Session, row: LexiconEntry) -> LexiconEntry:
    session.add(row)
    session.flush()
    return row
