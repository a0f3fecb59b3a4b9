"""Reflashes that were read from the correction texts of a history, and what somebody said of them."""

from datetime import date, datetime

from sqlalchemy import JSON, Index
from sqlmodel import Field

from kb.records.tables.columns import NEVER_REUSE_IDS, OfShop, maybe_instant


class ReflashRead(OfShop, table=True):
    """One reflash of one history row's text. It counts nothing; a taken one is the row `taken_row_id`.

    `alike` puts those together that say the same in the same words. `state` is proposed, not_read (the text
    speaks of programming, and nobody could tell what was done), taken or not_taken. `update`, `module`,
    calibrations and `road_test` are as read, and as somebody said when it was taken; `done_on` is the day of
    the work, else the day the repair order was opened.
    """

    __tablename__ = "reflash_read"
    __table_args__ = (Index("reflash_read_alike", "import_id", "alike"), NEVER_REUSE_IDS)
    import_id: int = Field(foreign_key="import_job.id", index=True)
    history_row_id: int = Field(foreign_key="imported_row.id", index=True)
    concern_id: int = Field(foreign_key="concern.id", index=True)
    identity_hash: str = Field(index=True)
    alike: str
    wording: str
    text: str
    marks: list[list[int]] = Field(default_factory=list, sa_type=JSON)
    update: str = ""
    module: str = ""
    calibration_before: str = ""
    calibration_after: str = ""
    road_test: str = ""
    other_work: list[str] = Field(default_factory=list, sa_type=JSON)
    done_on: date | None = None
    state: str
    taken_row_id: int | None = Field(default=None, foreign_key="imported_row.id", index=True)
    decided_by: str = ""
    decided_at: datetime | None = maybe_instant()
