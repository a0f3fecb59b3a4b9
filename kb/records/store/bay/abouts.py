"""Stored candidates whose `about` was never looked at, or by another rule, or before the note was changed.

Those that a history brought have no grade of match until somebody looks.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from sqlalchemy import bindparam, or_, select, true, tuple_, update
from sqlmodel import Session, col

from kb.records.store.imports.bulk import table_of
from kb.records.tables import ConcernCandidate, ConcernRow, NoteRow


class CandidateToLookAt(NamedTuple):
    concern_id: int
    note_id: int
    note_version: int
    grade: str


class LookedAt(NamedTuple):
    """What was found of a candidate: whether it is about its concern, and its grade (empty: not known)."""

    candidate: CandidateToLookAt
    about: bool
    grade: str


def not_looked_at(
    session: Session, shop_id: int, rule: int, most: int, after: CandidateToLookAt | None = None
) -> list[CandidateToLookAt]:
    """Candidates of published notes to look at, those of one concern together; at most so many.

    `after`: the last one that was given before, which need not be looked at yet.
    """
    place = tuple_(col(ConcernCandidate.concern_id), col(ConcernCandidate.note_id))
    rows = session.execute(
        select(
            col(ConcernCandidate.concern_id),
            col(ConcernCandidate.note_id),
            col(NoteRow.version),
            col(ConcernCandidate.grade),
        )
        .join(NoteRow, col(NoteRow.id) == col(ConcernCandidate.note_id))
        .join(ConcernRow, col(ConcernRow.id) == col(ConcernCandidate.concern_id))
        .where(
            col(ConcernRow.shop_id) == shop_id,
            col(NoteRow.state) == "published",
            place > (after.concern_id, after.note_id) if after else true(),
            or_(
                col(ConcernCandidate.about_rule) != rule,
                col(ConcernCandidate.about_version) != col(NoteRow.version),
            ),
        )
        .order_by(col(ConcernCandidate.concern_id), col(ConcernCandidate.note_id))
        .limit(most)
    )
    return [CandidateToLookAt(*row) for row in rows]


def keep_about(session: Session, looked_at: Sequence[LookedAt], rule: int) -> None:
    """Write down what was found of each; one that is gone meanwhile, by an undo, is passed over."""
    table = table_of(ConcernCandidate)
    found = update(table).where(
        table.c.concern_id == bindparam("of_concern"), table.c.note_id == bindparam("of_note")
    )
    rows = [
        {
            "of_concern": one.concern_id,
            "of_note": one.note_id,
            "about": about,
            "grade": grade,
            "about_rule": rule,
            "about_version": one.note_version,
        }
        for one, about, grade in looked_at
    ]
    session.execute(found, rows)
