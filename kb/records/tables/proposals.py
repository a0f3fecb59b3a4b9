"""What somebody proposes to the lead, and how it was answered."""

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, Index
from sqlmodel import Field

from kb.records.tables.columns import NEVER_REUSE_IDS, OfShop, instant, maybe_instant


class Proposal(OfShop, table=True):
    """`content` is what is proposed, by kind (kb.records.store.notes.proposals); `note_id` is the note
    that it is about, `made_note_id` and `made_check_id` what came of it.
    """

    __tablename__ = "proposal"
    __table_args__ = (Index("proposal_by_state", "shop_id", "state"), NEVER_REUSE_IDS)
    kind: str
    state: str
    concern_id: int | None = Field(default=None, foreign_key="concern.id", index=True)
    note_id: int | None = Field(default=None, foreign_key="note.id", index=True)
    content: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
    made_by: str
    made_at: datetime = instant()
    answer: str = ""
    answered_by: str = ""
    answered_at: datetime | None = maybe_instant()
    made_note_id: int | None = Field(default=None, foreign_key="note.id", index=True)
    made_check_id: int | None = Field(default=None, foreign_key="diagnostic_check.id")
    version: int = 1
