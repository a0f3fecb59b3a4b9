"""What points at a note: counted to another one in a merge, and a reason for an undo to keep it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import select, update
from sqlmodel import Session, SQLModel, col

from kb.records.tables import CheckAttachment, ConcernCandidate, ConcernRow, NoteRow, Outcome, Reflash

_COUNTED_TO_A_NOTE: tuple[tuple[type[SQLModel], str], ...] = (
    (Outcome, "update_id"),
    (Reflash, "update_id"),
    (ConcernRow, "cured_by_note_id"),
    (ConcernRow, "explained_by_note_id"),
)
_POINTING_AT_A_NOTE: tuple[tuple[type[SQLModel], str], ...] = (
    (ConcernCandidate, "note_id"),
    (CheckAttachment, "note_id"),
    (NoteRow, "merged_into_id"),
)


def move_records(session: Session, duplicate_id: int, keep_id: int) -> dict[str, int]:
    """Let what happened under the duplicate count to the kept note; how many rows of each moved."""
    moved = {}
    for table, name in _COUNTED_TO_A_NOTE:
        column = getattr(table, name)
        change = update(table).where(column == duplicate_id).values({name: keep_id})
        moved[f"{table.__tablename__}.{name}"] = _count(session.execute(change))
    concern, note = col(ConcernCandidate.concern_id), col(ConcernCandidate.note_id)
    already = select(concern).where(note == keep_id)
    candidates = update(ConcernCandidate).where(note == duplicate_id, concern.not_in(already))
    moved["concern_candidate.note_id"] = _count(session.execute(candidates.values(note_id=keep_id)))
    return moved


def in_use(session: Session, ids: Sequence[int]) -> set[int]:
    """Which of these notes something else points at: concerns, reflashes, outcomes, checks, duplicates."""
    used: set[int] = set()
    for table, name in (*_COUNTED_TO_A_NOTE, *_POINTING_AT_A_NOTE):
        column = getattr(table, name)
        for start in range(0, len(ids), 500):
            pointed = select(column).where(column.in_(ids[start : start + 500])).distinct()
            used.update(session.execute(pointed).scalars())
    return used


def _count(result: Any) -> int:
    return int(result.rowcount)
