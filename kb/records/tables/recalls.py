"""What a look-up by VIN said of recalls."""

from datetime import date, datetime

from sqlalchemy import UniqueConstraint
from sqlmodel import Field

from kb.records.tables.columns import NEVER_REUSE_IDS, Numbered, instant


class RecallLookUp(Numbered, table=True):
    """What a look-up by VIN said of one recall, or (number empty) of all of them or of one not named.

    `touches` is what the person said of it; null: nothing.
    """

    __tablename__ = "recall_look_up"
    __table_args__ = (UniqueConstraint("concern_id", "number"), NEVER_REUSE_IDS)
    concern_id: int = Field(foreign_key="concern.id", index=True)
    number: str
    result: str
    touches: bool | None = None
    by: str
    on: date
    at: datetime = instant()
