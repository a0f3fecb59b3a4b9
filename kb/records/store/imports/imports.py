"""Import jobs and what each of them took: the ground for re-imports without doubles, and for undo."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, fields
from typing import Any

from sqlalchemy import Select, delete, select, update
from sqlmodel import Session, col

from kb.records.store.imports.bulk import insert_rows, runs
from kb.records.store.imports.history_told import HISTORY_ROW
from kb.records.store.rows import columns, rows_where
from kb.records.tables import ConcernRow, ImportedRow, ImportJob, NoteRow

NOTE = "note"
"""What a note that an import took is remembered as, as HISTORY_ROW is a row of a history."""


@dataclass(frozen=True, slots=True)
class Took:
    """One row of a file as an import took it, and what it is the row of."""

    noun_id: int
    identity: str
    action: str = "created"
    version: int = 1
    content: dict[str, Any] | None = None


@dataclass(frozen=True, slots=True)
class Taken:
    """What an import last took under one identity."""

    import_id: int
    noun_id: int
    version: int
    content: dict[str, Any] | None


_TAKEN = tuple(one.name for one in fields(Taken))


def job(session: Session, shop_id: int, job_id: int) -> ImportJob | None:
    row = session.get(ImportJob, job_id, populate_existing=True)
    return row if row is not None and row.shop_id == shop_id else None


def jobs(session: Session, shop_id: int, limit: int, after: int | None = None) -> list[ImportJob]:
    """The newest first, from the one that follows `after`."""
    newest = select(ImportJob).where(col(ImportJob.shop_id) == shop_id)
    if after is not None:
        newest = newest.where(col(ImportJob.id) < after)
    return list(session.execute(newest.order_by(col(ImportJob.id).desc()).limit(limit)).scalars())


def half_taken_jobs(session: Session, shop_id: int) -> list[ImportJob]:
    """Jobs that wrote something and neither ended nor were undone whole, the newest first."""
    begun = (
        col(ImportJob.shop_id) == shop_id,
        col(ImportJob.state).in_(("running", "stopped", "undoing")),
        col(ImportJob.dry_run).is_(False),
        col(ImportJob.created) + col(ImportJob.changed) > 0,
    )
    return rows_where(session, ImportJob, *begun, by=(col(ImportJob.id).desc(),))


def unfinished_job(session: Session, shop_id: int, format_name: str, file_hash: str) -> ImportJob | None:
    """The job that began to take this very file and did not end."""
    begun = (
        col(ImportJob.shop_id) == shop_id,
        col(ImportJob.format) == format_name,
        col(ImportJob.file_hash) == file_hash,
        col(ImportJob.state).in_(("running", "stopped")),
        col(ImportJob.dry_run).is_(False),
    )
    return next(iter(rows_where(session, ImportJob, *begun, by=(col(ImportJob.id).desc(),))), None)


def identity_hash(identity: str) -> str:
    return hashlib.sha256(identity.encode()).hexdigest()[:32]


def remember(session: Session, shop_id: int, import_id: int, noun: str, took: Iterable[Took]) -> list[int]:
    """Write down what an import took of one noun; gives the ids."""
    of_import = {"shop_id": shop_id, "import_id": import_id, "noun": noun}
    rows = [
        {
            **of_import,
            "noun_id": one.noun_id,
            "identity_hash": identity_hash(one.identity),
            "action": one.action,
            "version": one.version,
            "content": one.content,
        }
        for one in took
    ]
    return insert_rows(session, ImportedRow, rows)


def last_taken(session: Session, shop_id: int, noun: str, hashes: Iterable[str]) -> dict[str, Taken]:
    """By identity hash what the last import took."""
    found: dict[str, Taken] = {}
    for some in runs(hashes):
        query = select(*columns(ImportedRow, ("identity_hash", *_TAKEN))).where(
            col(ImportedRow.shop_id) == shop_id,
            col(ImportedRow.noun) == noun,
            col(ImportedRow.identity_hash).in_(some),
        )
        for row in session.execute(query.order_by(col(ImportedRow.id))):
            found[row.identity_hash] = Taken(*row[1:])
    return found


def taken_by(session: Session, import_id: int, noun: str, after: int, limit: int) -> list[ImportedRow]:
    """A run of what one job took of one noun, by id from `after` on."""
    its = (col(ImportedRow.import_id) == import_id, col(ImportedRow.noun) == noun)
    run = select(ImportedRow).where(*its, col(ImportedRow.id) > after).order_by(col(ImportedRow.id))
    return list(session.execute(run.limit(limit)).scalars())


def forget(session: Session, ids: Iterable[int]) -> None:
    """Take back that these were ever taken (ids of ImportedRow), so that a later import takes them anew."""
    for some in runs(ids):
        session.execute(delete(ImportedRow).where(col(ImportedRow.id).in_(some)))


def release_notes(session: Session, import_id: int, revision: int) -> None:
    """Let the search see every note that the job made or changed, all at once."""
    its = col(NoteRow.id).in_(_took(import_id, NOTE))
    session.execute(update(NoteRow).where(its).values(changed_revision=revision))


def release_concerns(session: Session, import_id: int, revision: int) -> None:
    """As `release_notes`, for concerns of a history."""
    its = col(ConcernRow.id).in_(_took(import_id, HISTORY_ROW))
    session.execute(update(ConcernRow).where(its).values(changed_revision=revision))


def _took(import_id: int, noun: str) -> Select[Any]:
    return select(col(ImportedRow.noun_id)).where(
        col(ImportedRow.import_id) == import_id, col(ImportedRow.noun) == noun
    )
