"""Writing notes, one or thousands: the row, its parts and the kept revision, through Core."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import bindparam, delete, update
from sqlmodel import Session, SQLModel, col

from kb.nouns.notes import NoteDraft, folded_name
from kb.nouns.vehicles import fold_id
from kb.records.store.imports.bulk import add_rows, delete_where, insert_rows, table_of
from kb.records.store.notes.note_content import (
    in_stored_order,
    line_columns,
    own_columns,
    step_columns,
    to_content,
)
from kb.records.tables import (
    NoteCodeRow,
    NoteCoverage,
    NoteDocumentRow,
    NoteReplaced,
    NoteRevision,
    NoteRow,
    NoteStep,
)

_PARTS: tuple[type[SQLModel], ...] = (NoteCoverage, NoteCodeRow, NoteStep, NoteDocumentRow, NoteReplaced)


@dataclass(frozen=True, slots=True)
class Stamp:
    """Who saves, when, under which revision number of the topic "notes", and why."""

    author: str
    at: datetime
    revision: int
    why: str = ""
    import_id: int | None = None


def insert_notes(session: Session, shop_id: int, drafts: Sequence[NoteDraft], stamp: Stamp) -> list[int]:
    """New notes at version 1; their ids in the order of the drafts."""
    if not drafts:
        return []
    rows = [
        {**_columns(draft, stamp), "shop_id": shop_id, "import_id": stamp.import_id, "version": 1}
        for draft in drafts
    ]
    ids = insert_rows(session, NoteRow, rows)
    _insert_parts(session, list(zip(ids, drafts, strict=True)))
    keep_revisions(session, [(note_id, 1, d) for note_id, d in zip(ids, drafts, strict=True)], stamp)
    return ids


def replace_notes(session: Session, changes: Sequence[tuple[int, int, NoteDraft]], stamp: Stamp) -> None:
    """Give each note (id, new version, content) its new content and keep it as a revision."""
    put_content(session, changes, stamp)
    keep_revisions(session, changes, stamp)


def put_content(session: Session, changes: Sequence[tuple[int, int, NoteDraft]], stamp: Stamp) -> None:
    """As `replace_notes`, without a new revision: for an undo that goes back to a kept one."""
    if not changes:
        return
    put_own_columns(session, changes, stamp)
    delete_parts(session, [note_id for note_id, _, _ in changes])
    _insert_parts(session, [(note_id, draft) for note_id, _, draft in changes])


def put_own_columns(session: Session, changes: Sequence[tuple[int, int, NoteDraft]], stamp: Stamp) -> None:
    """The same for changes that touch no part of a note: neither coverage, codes, steps nor documents."""
    if not changes:
        return
    rows = [{**_columns(d, stamp), "note_id": i, "version": v} for i, v, d in changes]
    names = [name for name in rows[0] if name != "note_id"]
    table = table_of(NoteRow)
    session.connection().execute(
        update(table).where(table.c.id == bindparam("note_id")).values({n: bindparam(n) for n in names}),
        rows,
    )


def put_coverage(session: Session, changes: Sequence[tuple[int, int, NoteDraft]]) -> None:
    """Give each note (id, version, content) the coverage of its content."""
    delete_where(session, NoteCoverage, "note_id", [note_id for note_id, _, _ in changes])
    add_rows(session, NoteCoverage, _coverage_rows((note_id, draft) for note_id, _, draft in changes))


def delete_parts(session: Session, ids: Sequence[int]) -> None:
    for part in _PARTS:
        delete_where(session, part, "note_id", ids)


def delete_notes(session: Session, ids: Sequence[int]) -> None:
    """Take notes away with everything of theirs; only the undo of an import does this."""
    delete_parts(session, ids)
    delete_where(session, NoteRevision, "note_id", ids)
    delete_where(session, NoteRow, "id", ids)


def delete_revision(session: Session, note_id: int, version: int) -> None:
    session.execute(
        delete(NoteRevision).where(col(NoteRevision.note_id) == note_id, col(NoteRevision.version) == version)
    )


def _columns(draft: NoteDraft, stamp: Stamp) -> dict[str, Any]:
    return {
        **own_columns(draft),
        "number_folded": fold_id(draft.number),
        "author": stamp.author,
        "changed_at": stamp.at,
        "changed_revision": stamp.revision,
    }


def _coverage_rows(notes: Iterable[tuple[int, NoteDraft]]) -> list[dict[str, Any]]:
    return [{"note_id": i, **line_columns(line)} for i, draft in notes for line in draft.coverage]


def _insert_parts(session: Session, notes: Sequence[tuple[int, NoteDraft]]) -> None:
    coverage = _coverage_rows(notes)
    codes = [
        {"note_id": i, "code": one.code, "kind": one.kind.value}
        for i, draft in notes
        for one in in_stored_order(draft).codes
    ]
    steps = [{"note_id": i, **step_columns(step)} for i, draft in notes for step in draft.steps]
    documents = [{"note_id": i, "name": d.name, "text": d.text} for i, note in notes for d in note.documents]
    replaced = [
        {"note_id": i, "number": number}
        for i, note in notes
        for number in sorted({*map(folded_name, note.replaces)} - {""})
    ]
    every: tuple[list[dict[str, Any]], ...] = (coverage, codes, steps, documents, replaced)
    for table, rows in zip(_PARTS, every, strict=True):
        add_rows(session, table, rows)


def keep_revisions(session: Session, changes: Sequence[tuple[int, int, NoteDraft]], stamp: Stamp) -> None:
    """Keep each content as the revision of its version."""
    rows = [
        {
            "note_id": note_id,
            "version": version,
            "content": to_content(draft),
            "author": stamp.author,
            "saved_at": stamp.at,
            "why": stamp.why,
        }
        for note_id, version, draft in changes
    ]
    add_rows(session, NoteRevision, rows)
