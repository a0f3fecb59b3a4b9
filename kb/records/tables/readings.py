"""What was read of a vehicle on a concern. Rows are added and struck, never written over."""

from datetime import datetime

from sqlmodel import Field

from kb.records.tables.columns import Numbered, instant, maybe_instant


class ReadoutRow(Numbered, table=True):
    """Values taken together: when, by whom, at which moment of the work, after which programming event."""

    __tablename__ = "readout"
    concern_id: int = Field(foreign_key="concern.id", index=True)
    event_id: int | None = Field(default=None, foreign_key="programming_event.id", index=True)
    moment: str
    taken_at: datetime = instant()
    by: str
    recorded_at: datetime = instant()


class ReadingRow(Numbered, table=True):
    """One value of a readout (`kind`: kb.nouns.read_values.ReadKind); struck where it was mistyped."""

    __tablename__ = "reading"
    readout_id: int = Field(foreign_key="readout.id", index=True)
    kind: str
    module: str = ""
    value: str
    status: str = ""
    place: int = 1
    source: str
    confirmed: bool = False
    struck_at: datetime | None = maybe_instant()
    struck_by: str = ""
