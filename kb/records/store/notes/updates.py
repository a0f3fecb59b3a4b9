"""Updates as the desk needs them all at once: bulletins with calibration steps, or a software remedy."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import or_, select
from sqlmodel import Session, col

from kb.nouns.notes import Remedy
from kb.records.tables import CheckAttachment, NoteCodeRow, NoteCoverage, NoteRow, NoteStep


def published_updates(session: Session, shop_id: int) -> list[NoteRow]:
    """Published bulletins that hold a calibration step, or whose remedy is software, by id."""
    software = [one.value for one in Remedy if one.holds_software]
    with_steps = select(col(NoteStep.note_id)).distinct()
    return list(
        session.execute(
            select(NoteRow)
            .where(
                col(NoteRow.shop_id) == shop_id,
                col(NoteRow.kind) == "bulletin",
                col(NoteRow.state) == "published",
                or_(col(NoteRow.remedy).in_(software), col(NoteRow.id).in_(with_steps)),
            )
            .order_by(col(NoteRow.id))
        ).scalars()
    )


def steps(session: Session, note_ids: Sequence[int]) -> list[NoteStep]:
    return list(
        session.execute(
            select(NoteStep).where(col(NoteStep.note_id).in_(note_ids)).order_by(col(NoteStep.id))
        ).scalars()
    )


def coverage(session: Session, note_ids: Sequence[int]) -> list[NoteCoverage]:
    return list(
        session.execute(
            select(NoteCoverage).where(col(NoteCoverage.note_id).in_(note_ids)).order_by(col(NoteCoverage.id))
        ).scalars()
    )


def codes(session: Session, note_ids: Sequence[int]) -> list[NoteCodeRow]:
    return list(session.execute(select(NoteCodeRow).where(col(NoteCodeRow.note_id).in_(note_ids))).scalars())


def attachments(session: Session, note_ids: Sequence[int]) -> list[CheckAttachment]:
    return list(
        session.execute(select(CheckAttachment).where(col(CheckAttachment.note_id).in_(note_ids))).scalars()
    )


def merged_into(session: Session, shop_id: int) -> dict[int, int]:
    """Duplicates that were merged: retired note id → the id of the note that was kept."""
    rows = session.execute(
        select(col(NoteRow.id), col(NoteRow.merged_into_id)).where(
            col(NoteRow.shop_id) == shop_id, col(NoteRow.merged_into_id).is_not(None)
        )
    )
    return {duplicate: kept for duplicate, kept in rows if duplicate is not None and kept is not None}
