"""Notes with coverage, codes, steps and kept revisions; the lexicon's extra entries; imports."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, Index, UniqueConstraint
from sqlmodel import Field, SQLModel

from kb.records.tables.columns import NEVER_REUSE_IDS, Numbered, OfShop, instant, maybe_instant


class NoteRow(OfShop, table=True):
    __tablename__ = "note"
    __table_args__ = (
        Index("note_by_identity", "shop_id", "identity"),
        Index("note_by_change", "shop_id", "changed_revision"),
        NEVER_REUSE_IDS,
    )
    kind: str
    number: str = Field(default="", index=True)
    number_folded: str = Field(default="", index=True)
    title: str
    symptom: str = ""
    body: str = ""
    conditions: str = ""
    precautions: list[str] = Field(default_factory=list, sa_type=JSON)
    relearns: list[str] = Field(default_factory=list, sa_type=JSON)
    exact_entries: list[str] = Field(default_factory=list, sa_type=JSON)
    replaces: list[str] = Field(default_factory=list, sa_type=JSON)
    speaks_against: list[dict[str, str]] = Field(default_factory=list, sa_type=JSON)
    remedy: str = ""
    remedy_module: str = ""
    system: str = ""
    state: str
    published_on: date | None = None
    source: str = "shop"
    identity: str = ""
    merged_into_id: int | None = Field(default=None, foreign_key="note.id", index=True)
    import_id: int | None = Field(default=None, foreign_key="import_job.id", index=True)
    author: str = ""
    changed_at: datetime = instant()
    changed_revision: int = 0
    looked_at_on: date | None = None
    looked_at_by: str = ""
    look_again_on: date | None = Field(default=None, index=True)
    version: int = 1


class NoteCoverage(Numbered, table=True):
    __tablename__ = "note_coverage"
    note_id: int = Field(foreign_key="note.id", index=True)
    make: str
    model: str = ""
    years: list[list[int]] = Field(default_factory=list, sa_type=JSON)
    engine: str = ""
    built_from: date | None = None
    built_to: date | None = None
    vin_prefix: str = ""


class NoteCodeRow(SQLModel, table=True):
    __tablename__ = "note_code"
    note_id: int = Field(foreign_key="note.id", primary_key=True)
    code: str = Field(primary_key=True)
    kind: str


class NoteStep(Numbered, table=True):
    """A calibration step of an update: any of the old IDs becomes the new one."""

    __tablename__ = "note_step"
    note_id: int = Field(foreign_key="note.id", index=True)
    module: str
    old_ids: list[str] = Field(default_factory=list, sa_type=JSON)
    new_id: str


class NoteReplaced(SQLModel, table=True):
    """A note that this one replaces, by its folded number, or "#12" for one without."""

    __tablename__ = "note_replaced"
    note_id: int = Field(foreign_key="note.id", primary_key=True)
    number: str = Field(primary_key=True, index=True)


class NoteDocumentRow(Numbered, table=True):
    __tablename__ = "note_document"
    note_id: int = Field(foreign_key="note.id", index=True)
    name: str
    text: str


class NoteRevision(Numbered, table=True):
    """The whole content as it was saved at one version."""

    __tablename__ = "note_revision"
    note_id: int = Field(foreign_key="note.id", index=True)
    version: int
    content: dict[str, Any] = Field(sa_type=JSON)
    author: str
    saved_at: datetime = instant()
    why: str = ""


class LexiconEntry(OfShop, table=True):
    """A phrase that a lead added to (or took from) a concept of shop talk; kept when undone."""

    __tablename__ = "lexicon_entry"
    concept: str
    phrase: str
    removes: bool = False
    author: str
    added_at: datetime = instant()
    undone_by: str = ""
    undone_at: datetime | None = maybe_instant()


class ModelFamily(OfShop, table=True):
    """Names of models of one make that a lead joined to one family, or took apart; kept when undone."""

    __tablename__ = "model_family"
    make: str
    names: list[str] = Field(default_factory=list, sa_type=JSON)
    apart: bool = False
    author: str
    added_at: datetime = instant()
    undone_by: str = ""
    undone_at: datetime | None = maybe_instant()


class SearchLog(OfShop, table=True):
    """Words that one person searched for on one day, or the complaint of a concern when it was opened.

    `mark` stands for person, day and words without telling them; `found` counts notes and `best` is the best
    grade among them; `opened_kind` and `opened_id` are of the result opened last. `set_aside_by`: who said
    that no note is to be written for these words.
    """

    __tablename__ = "search_log"
    __table_args__ = (UniqueConstraint("shop_id", "mark"), NEVER_REUSE_IDS)
    at: datetime = instant(index=True)
    mark: str
    text: str
    found: int
    best: str = ""
    concern_id: int | None = Field(default=None, foreign_key="concern.id", index=True)
    opened_kind: str = ""
    opened_id: int | None = Field(default=None, index=True)
    set_aside_by: str = ""


class ImportJob(OfShop, table=True):
    """One import: its state, counts and row errors, and what an undo has to take back."""

    __tablename__ = "import_job"
    format: str
    file_name: str
    file_hash: str
    dry_run: bool = False
    state: str
    done: int = 0
    total: int = 0
    created: int = 0
    changed: int = 0
    unchanged: int = 0
    summary: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
    row_errors: list[dict[str, Any]] = Field(default_factory=list, sa_type=JSON)
    author: str
    started_at: datetime = instant()
    ended_at: datetime | None = maybe_instant()


class WaitingFile(OfShop, table=True):
    """A file that somebody looks at before it is brought in, gone a day later; or, with its `import_id`, one
    that is being brought in, gone when it is.
    """

    __tablename__ = "waiting_file"
    format: str
    file_name: str
    data: bytes
    author: str
    kept_at: datetime = instant()
    import_id: int | None = Field(default=None, foreign_key="import_job.id", index=True)


class KeptColumns(OfShop, table=True):
    """What the columns of a file were read as, for the next file with the same `names` (folded, sorted)."""

    __tablename__ = "kept_columns"
    format: str
    names: str
    columns: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
    days: str
    author: str
    kept_at: datetime = instant()


class LeftOutRow(Numbered, table=True):
    """A row of a file that an import left out: its line, its cells as they stood there, and why."""

    __tablename__ = "left_out_row"
    import_id: int = Field(foreign_key="import_job.id", index=True)
    line: int
    reason: str
    cells: list[str] = Field(default_factory=list, sa_type=JSON)


class ImportedRow(OfShop, table=True):
    """One row that an import made or changed, with the version it left behind.

    `content` is a history row as it was taken, so that a later file can be compared and an undo can go back;
    notes keep theirs as revisions.
    """

    __tablename__ = "imported_row"
    __table_args__ = (
        Index("imported_by_identity", "shop_id", "noun", "identity_hash"),
        Index("imported_of_noun", "noun", "noun_id"),
        NEVER_REUSE_IDS,
    )
    import_id: int = Field(foreign_key="import_job.id", index=True)
    noun: str
    noun_id: int
    identity_hash: str
    action: str
    version: int
    content: dict[str, Any] | None = Field(default=None, sa_type=JSON)
