"""Clocks that run on concerns."""

from datetime import datetime

from sqlalchemy import Index
from sqlmodel import Field

from kb.records.tables.columns import NEVER_REUSE_IDS, OfShop, instant, maybe_instant


class ClockRow(OfShop, table=True):
    """What a vehicle waits out, by time or by miles; it runs until `ended_at` is set."""

    __tablename__ = "clock"
    __table_args__ = (Index("clock_running", "shop_id", "ended_at"), NEVER_REUSE_IDS)
    concern_id: int = Field(foreign_key="concern.id", index=True)
    kind: str
    remark: str = ""
    started_at: datetime = instant()
    started_by: str
    ends_at: datetime | None = maybe_instant()
    ends_at_odometer: int | None = None
    miles: int | None = None
    ends_with: str = ""
    ended_at: datetime | None = maybe_instant()
    ended_by: str = ""
