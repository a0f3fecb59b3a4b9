"""Photos kept with a concern and its programming: labels, screens, errors."""

from datetime import datetime

from sqlalchemy import UniqueConstraint
from sqlmodel import Field

from kb.records.tables.columns import NEVER_REUSE_IDS, OfShop, instant


class PhotoRow(OfShop, table=True):
    """One photo, as it is kept (upright, without what the camera wrote of place and device) and small.

    Without a concern it was read for one that is not opened yet. `sent_sha256` is of the file as it was sent,
    so that the same photo sent twice is one; `sha256` of what is kept. `shows`: label, screen, error, other.
    """

    __tablename__ = "photo"
    __table_args__ = (UniqueConstraint("concern_id", "sent_sha256"), NEVER_REUSE_IDS)
    concern_id: int | None = Field(default=None, foreign_key="concern.id", index=True)
    event_id: int | None = Field(default=None, foreign_key="programming_event.id", index=True)
    shows: str
    caption: str
    on_print: bool
    width: int
    height: int
    sha256: str
    sent_sha256: str = Field(index=True)
    content: bytes
    small: bytes
    kept_by: str
    kept_at: datetime = instant()
