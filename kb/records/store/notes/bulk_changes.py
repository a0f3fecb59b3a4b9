"""Changes of many notes at once: which notes are chosen, what stood before, what was changed."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from sqlalchemy import ColumnElement, func, select
from sqlmodel import Session, col

from kb.nouns.lead.bulk_changes import BulkAction, BulkAsk
from kb.nouns.notes import NoteDraft, NoteState
from kb.records.store.imports.bulk import add_rows, delete_where, runs, table_of
from kb.records.store.notes.note_writing import Stamp, put_coverage, put_own_columns
from kb.records.store.notes.notes import conditions_of
from kb.records.store.rows import rows_where
from kb.records.tables import NoteBulk, NoteBulkItem, NoteRevision, NoteRow

Content = tuple[int, int, NoteDraft]


def ids_of_list(session: Session, shop_id: int, kind: str, state: str, make: str, text: str) -> list[int]:
    """Every note of a list, in order of their ids."""
    fits = conditions_of(shop_id, kind, state, make, text)
    return list(session.execute(select(col(NoteRow.id)).where(*fits).order_by(col(NoteRow.id))).scalars())


def ids_on_file(session: Session, shop_id: int, ids: Collection[int]) -> list[int]:
    """Those of some ids that are notes of the shop, in order."""
    found: list[int] = []
    for some in runs(sorted(set(ids))):
        query = select(col(NoteRow.id)).where(col(NoteRow.shop_id) == shop_id, col(NoteRow.id).in_(some))
        found += session.execute(query).scalars()
    return sorted(found)


def count_left(session: Session, ids: Sequence[int], ask: BulkAsk) -> tuple[int, int]:
    """How many of the notes are so already, and how many others may not be published for being merged."""
    so, merged = 0, 0
    for some in runs(ids):
        among = col(NoteRow.id).in_(some)
        already = _so_already(ask)
        if already is not None:
            so += _count(session, among, already)
        if ask.action is BulkAction.PUBLISH:
            merged += _count(session, among, col(NoteRow.merged_into_id).is_not(None))
    return so, merged


def merged_among(session: Session, ids: Sequence[int]) -> set[int]:
    """Those of the notes that went up in others."""
    query = select(col(NoteRow.id)).where(
        col(NoteRow.id).in_(list(ids)), col(NoteRow.merged_into_id).is_not(None)
    )
    return {note_id or 0 for note_id in session.execute(query).scalars()}


def last_changes(session: Session, shop_id: int, most: int) -> list[NoteBulk]:
    """The newest first."""
    query = select(NoteBulk).where(col(NoteBulk.shop_id) == shop_id)
    return list(session.execute(query.order_by(col(NoteBulk.id).desc()).limit(most)).scalars())


def put(session: Session, ask: BulkAsk, changes: Sequence[Content], stamp: Stamp) -> None:
    """Write (note, version, content) as far as such a change can differ from what stands there."""
    put_own_columns(session, changes, stamp)
    if ask.action is BulkAction.SET_MAKES:
        put_coverage(session, changes)


def heads(session: Session, ids: Collection[int]) -> dict[int, tuple[int, str]]:
    """Version and title of each note."""
    query = select(col(NoteRow.id), col(NoteRow.version), col(NoteRow.title))
    found = session.execute(query.where(col(NoteRow.id).in_(list(ids))))
    return {note_id or 0: (version, title) for note_id, version, title in found}


def remember(session: Session, bulk_id: int, changed: Sequence[tuple[int, int]]) -> None:
    """Which notes a change made which version of."""
    add_rows(session, NoteBulkItem, [{"bulk_id": bulk_id, "note_id": n, "version": v} for n, v in changed])


def items_after(session: Session, bulk_id: int, note_id: int, most: int) -> list[NoteBulkItem]:
    """The next notes of a change, in order of their ids."""
    query = select(NoteBulkItem).where(
        col(NoteBulkItem.bulk_id) == bulk_id, col(NoteBulkItem.note_id) > note_id
    )
    return list(session.execute(query.order_by(col(NoteBulkItem.note_id)).limit(most)).scalars())


def forget(session: Session, bulk_id: int, note_ids: Sequence[int]) -> None:
    table = table_of(NoteBulkItem)
    for some in runs(note_ids):
        mine = table.delete().where(table.c.bulk_id == bulk_id, table.c.note_id.in_(some))
        session.execute(mine)


def revisions_before(session: Session, versions: dict[int, int]) -> dict[int, NoteRevision]:
    """By note the revision just before that version."""
    rows = rows_where(
        session,
        NoteRevision,
        col(NoteRevision.note_id).in_(list(versions)),
        col(NoteRevision.version).in_({version - 1 for version in versions.values()}),
    )
    return {row.note_id: row for row in rows if row.version == versions[row.note_id] - 1}


def delete_revisions(session: Session, versions: dict[int, int]) -> None:
    """Take the revisions of those versions away."""
    rows = select(col(NoteRevision.id), col(NoteRevision.note_id), col(NoteRevision.version)).where(
        col(NoteRevision.note_id).in_(list(versions))
    )
    gone = [row.id for row in session.execute(rows) if row.version == versions[row.note_id]]
    delete_where(session, NoteRevision, "id", [one for one in gone if one is not None])


def _so_already(ask: BulkAsk) -> ColumnElement[bool] | None:
    match ask.action:
        case BulkAction.PUBLISH:
            return col(NoteRow.state) == NoteState.PUBLISHED.value
        case BulkAction.RETIRE:
            return col(NoteRow.state) == NoteState.RETIRED.value
        case BulkAction.SET_MODULE:
            return col(NoteRow.remedy_module) == ask.module
        case BulkAction.SET_MAKES:
            return None


def _count(session: Session, *fits: ColumnElement[bool]) -> int:
    found: int = session.execute(select(func.count()).select_from(NoteRow).where(*fits)).scalar_one()
    return found
