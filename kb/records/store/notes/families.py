"""Families of model names that the shop entered; kept when undone."""

from __future__ import annotations

from sqlalchemy import select
from sqlmodel import Session, col

from kb.records.tables import ModelFamily


def entries(session: Session, shop_id: int) -> list[ModelFamily]:
    """Every entry ever made, oldest first."""
    found = select(ModelFamily).where(col(ModelFamily.shop_id) == shop_id)
    return list(session.execute(found.order_by(col(ModelFamily.id))).scalars())


def entry(session: Session, shop_id: int, entry_id: int) -> ModelFamily | None:
    row = session.get(ModelFamily, entry_id, populate_existing=True)
    return row if row is not None and row.shop_id == shop_id else None


def add(session: Session, row: ModelFamily) -> ModelFamily:
    session.add(row)
    session.flush()
    return row
