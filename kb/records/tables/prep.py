"""What was settled before programming and release, and windows that a lead confirmed."""

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, UniqueConstraint
from sqlmodel import Field

from kb.records.tables.columns import NEVER_REUSE_IDS, Numbered, OfShop, instant


class PrepTick(Numbered, table=True):
    """One line before programming or release, settled by a named person, or passed over with a reason.

    `said` holds what goes with an answer, by name: who calibrated the cameras and how, odometer readings.
    """

    __tablename__ = "prep_tick"
    __table_args__ = (UniqueConstraint("concern_id", "item"), NEVER_REUSE_IDS)
    concern_id: int = Field(foreign_key="concern.id", index=True)
    item: str
    measured: str = ""
    passed_over: str = ""
    said: dict[str, Any] = Field(
        default_factory=dict, sa_type=JSON, sa_column_kwargs={"server_default": "{}"}
    )
    by: str
    at: datetime = instant()


class ConfirmedWindow(OfShop, table=True):
    """A printed line whose window lies past what is usually possible, confirmed by a lead with its source."""

    __tablename__ = "confirmed_window"
    printed: str
    source: str
    by: str
    at: datetime = instant()
