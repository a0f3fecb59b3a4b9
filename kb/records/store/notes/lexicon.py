"""The shop's own entries of shop talk and of model families; kept when undone."""

from __future__ import annotations

from typing import TypeVar

from sqlmodel import Session, col

from kb.records.store.rows import rows_where
from kb.records.tables import LexiconEntry, ModelFamily

Entry = TypeVar("Entry", LexiconEntry, ModelFamily)


def entries(session: Session, table: type[Entry], shop_id: int) -> list[Entry]:
    """Every entry ever made, the newest first."""
    return rows_where(session, table, col(table.shop_id) == shop_id, by=(col(table.id).desc(),))
