"""Stored candidates whose `about` was never looked at, or by another rule, or before the note was changed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from sqlalchemy import or_, select, update
from sqlmodel import Session, col

from kb.records.tables import ConcernCandidate, ConcernRow, NoteRow


class CandidateToLookAt(NamedTuple):
    concern_id: int
    note_id: int
    note_version: int


def not_looked_at(session: Session, shop_id: int, rule: int, most: int) -> list[CandidateToLookAt]:
    """Candidates of published notes to look at, those of one concern together; at most so many."""
    rows = session.execute(
        select(col(ConcernCandidate.concern_id), col(ConcernCandidate.note_id), col(NoteRow.version))
        .join(NoteRow, col(NoteRow.id) == col(ConcernCandidate.note_id))
        .join(ConcernRow, col(ConcernRow.id) == col(ConcernCandidate.concern_id))
        .where(
            col(ConcernRow.shop_id) == shop_id,
            col(NoteRow.state) == "published",
            or_(
                col(ConcernCandidate.about_rule) != rule,
                col(ConcernCandidate.about_version) != col(NoteRow.version),
            ),
        )
        .order_by(col(ConcernCandidate.concern_id), col(ConcernCandidate.note_id))
        .limit(most)
    )
    return [CandidateToLookAt(*row) for row in rows]


def keep_about(session: Session, looked_at: Sequence[tuple[CandidateToLookAt, bool]], rule: int) -> None:
    """Write down what was found of each."""
    for one, about in looked_at:
        session.execute(
            update(ConcernCandidate)
            .where(
                col(ConcernCandidate.concern_id) == one.concern_id,
                col(ConcernCandidate.note_id) == one.note_id,
            )
            .values(about=about, about_rule=rule, about_version=one.note_version)
        )
