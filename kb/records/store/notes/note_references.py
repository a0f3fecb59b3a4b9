"""What points at a note: counted to another one in a merge, and a reason for an undo to keep it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from sqlalchemy import func, select, tuple_, update
from sqlmodel import Session, SQLModel, col

from kb.records.store.imports.bulk import runs
from kb.records.tables import (
    CheckAttachment,
    ConcernCandidate,
    ConcernRow,
    NoteBulkItem,
    NoteRow,
    Outcome,
    Proposal,
    Reflash,
    SentOutRow,
    WatchAcknowledged,
)

_COUNTED_TO_A_NOTE: tuple[tuple[type[SQLModel], str], ...] = (
    (Outcome, "update_id"),
    (Reflash, "update_id"),
    (ConcernRow, "cured_by_note_id"),
    (ConcernRow, "explained_by_note_id"),
    (SentOutRow, "update_id"),
)
_POINTING_AT_A_NOTE: tuple[tuple[type[SQLModel], str], ...] = (
    (ConcernCandidate, "note_id"),
    (CheckAttachment, "note_id"),
    (NoteRow, "merged_into_id"),
    (WatchAcknowledged, "update_id"),
    (Proposal, "note_id"),
    (Proposal, "made_note_id"),
    (NoteBulkItem, "note_id"),
)
KEEPING_A_NOTE = (*_COUNTED_TO_A_NOTE, *_POINTING_AT_A_NOTE)
"""Every column that points at a note, save those of its own parts, which go with it."""
_CANDIDATES = "concern_candidate.note_id"


def move_records(session: Session, duplicate_id: int, keep_id: int) -> dict[str, list[int]]:
    """Let what happened under the duplicate count to the kept note; which rows of each table moved."""
    moved = {}
    for table, name in _COUNTED_TO_A_NOTE:
        ids = _ids(session, table, name, duplicate_id)
        _point(session, table, name, ids, keep_id)
        moved[f"{table.__tablename__}.{name}"] = ids
    moved[_CANDIDATES] = _move_candidates(session, duplicate_id, keep_id, None)
    return moved


def move_back(session: Session, duplicate_id: int, keep_id: int, moved: Mapping[str, Sequence[int]]) -> None:
    """Give the duplicate back what `move_records` moved, where it still stands with the kept note."""
    for table, name in _COUNTED_TO_A_NOTE:
        still = set(_ids(session, table, name, keep_id))
        rows = [one for one in moved.get(f"{table.__tablename__}.{name}", ()) if one in still]
        _point(session, table, name, rows, duplicate_id)
    _move_candidates(session, keep_id, duplicate_id, moved.get(_CANDIDATES, ()))


def count_records(session: Session, note_id: int) -> int:
    """How many rows a merge of this note would move."""
    own = sum(len(_ids(session, table, name, note_id)) for table, name in _COUNTED_TO_A_NOTE)
    of_it = select(func.count()).where(col(ConcernCandidate.note_id) == note_id)
    return own + int(session.execute(of_it).scalar_one())


def _ids(session: Session, table: type[SQLModel], name: str, note_id: int) -> list[int]:
    key, column = table.id, getattr(table, name)  # type: ignore[attr-defined]
    return [int(one) for one in session.execute(select(key).where(column == note_id).order_by(key)).scalars()]


def _point(session: Session, table: type[SQLModel], name: str, ids: Sequence[int], note_id: int) -> None:
    key = table.id  # type: ignore[attr-defined]
    for some in runs(ids):
        session.execute(update(table).where(key.in_(some)).values({name: note_id}))


def _move_candidates(session: Session, old: int, new: int, only: Sequence[int] | None) -> list[int]:
    """A concern that has the other note as a candidate already keeps both."""
    concern, note = col(ConcernCandidate.concern_id), col(ConcernCandidate.note_id)
    already = set(session.execute(select(concern).where(note == new)).scalars())
    found = list(session.execute(select(concern).where(note == old).order_by(concern)).scalars())
    wanted = set(found if only is None else only)
    ids = [one for one in found if one in wanted and one not in already]
    for some in runs(ids):
        session.execute(update(ConcernCandidate).where(note == old, concern.in_(some)).values(note_id=new))
    return ids


def in_use(session: Session, ids: Sequence[int], own: Collection[tuple[int, int]] = ()) -> set[int]:
    """Which of these notes something else points at: concerns, reflashes, outcomes, checks, duplicates,
    answered alarms. `own` are (check, note) that a note attached itself: those are no use of it.
    """
    used: set[int] = set()
    for table, name in KEEPING_A_NOTE:
        column = getattr(table, name)
        for some in runs(ids):
            pointed = select(column).where(column.in_(some)).distinct()
            if table is CheckAttachment:
                pointed = pointed.where(tuple_(col(CheckAttachment.check_id), column).not_in(list(own)))
            used.update(session.execute(pointed).scalars())
    return used
