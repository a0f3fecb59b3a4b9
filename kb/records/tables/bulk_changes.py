"""Changes of many notes at once, and which notes each of them changed."""

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, Index
from sqlmodel import Field, SQLModel

from kb.records.tables.columns import NEVER_REUSE_IDS, OfShop, instant


class NoteBulk(OfShop, table=True):
    """`asked` are the fields of a BulkAsk; `left_notes` are notes that were left, with the reason."""

    __tablename__ = "note_bulk"
    __table_args__ = (Index("note_bulk_by_start", "shop_id", "started_at"), NEVER_REUSE_IDS)
    asked: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
    state: str
    total: int
    done: int = 0
    changed: int = 0
    so_already: int = 0
    put_back: int = 0
    left_notes: list[dict[str, Any]] = Field(default_factory=list, sa_type=JSON)
    author: str
    started_at: datetime = instant()
    moved_at: datetime = instant()


class NoteBulkItem(SQLModel, table=True):
    """A note that the change made a version of; gone when it is put back."""

    __tablename__ = "note_bulk_item"
    bulk_id: int = Field(foreign_key="note_bulk.id", primary_key=True)
    note_id: int = Field(foreign_key="note.id", primary_key=True, index=True)
    version: int
