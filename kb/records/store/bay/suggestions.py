"""What the shop has met before, for suggestions while somebody types."""

from __future__ import annotations

from sqlalchemy import Select, func, select, union_all
from sqlmodel import Session, col

from kb.records.tables import ConcernCode, ConcernRow, NoteCodeRow, NoteRow


def codes_beginning(session: Session, shop_id: int, start: str, limit: int) -> list[tuple[str, int]]:
    """Trouble codes of notes and concerns that begin so, the most frequent first, with how often."""
    of_notes: Select[tuple[str]] = (
        select(col(NoteCodeRow.code).label("code"))
        .join(NoteRow, col(NoteRow.id) == col(NoteCodeRow.note_id))
        .where(col(NoteRow.shop_id) == shop_id, col(NoteCodeRow.code).startswith(start, autoescape=True))
    )
    of_concerns: Select[tuple[str]] = (
        select(col(ConcernCode.code).label("code"))
        .join(ConcernRow, col(ConcernRow.id) == col(ConcernCode.concern_id))
        .where(col(ConcernRow.shop_id) == shop_id, col(ConcernCode.code).startswith(start, autoescape=True))
    )
    met = union_all(of_notes, of_concerns).subquery()
    often = func.count().label("often")
    rows = session.execute(
        select(met.c.code, often).group_by(met.c.code).order_by(often.desc(), met.c.code).limit(limit)
    )
    return [(code, count) for code, count in rows]
