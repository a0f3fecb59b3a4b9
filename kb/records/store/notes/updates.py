"""Updates as the desk needs them all at once: bulletins with calibration steps, or a software remedy."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from sqlalchemy import or_, select
from sqlmodel import Session, col

from kb.nouns.notes import Remedy
from kb.nouns.vehicles import Coverage, CoverageLine
from kb.records.store.imports.bulk import runs
from kb.records.store.notes.notes import coverage_line
from kb.records.store.rows import rows_where
from kb.records.tables import CheckAttachment, NoteCodeRow, NoteCoverage, NoteRow, NoteStep


def published_updates(session: Session, shop_id: int) -> list[NoteRow]:
    """Published bulletins that hold a calibration step, or whose remedy is software, by id."""
    software = [one.value for one in Remedy if one.holds_software]
    with_steps = select(col(NoteStep.note_id)).distinct()
    wanted = (
        col(NoteRow.shop_id) == shop_id,
        col(NoteRow.kind) == "bulletin",
        col(NoteRow.state) == "published",
        or_(col(NoteRow.remedy).in_(software), col(NoteRow.id).in_(with_steps)),
    )
    return rows_where(session, NoteRow, *wanted, by=(col(NoteRow.id),))


def steps(session: Session, note_ids: Sequence[int]) -> list[NoteStep]:
    return rows_where(session, NoteStep, col(NoteStep.note_id).in_(note_ids), by=(col(NoteStep.id),))


def coverage(session: Session, note_ids: Sequence[int]) -> dict[int, Coverage]:
    """The lines of each of these notes that has any, however many notes they are."""
    lines: dict[int, list[CoverageLine]] = defaultdict(list)
    for some in runs(note_ids):
        mine = col(NoteCoverage.note_id).in_(some)
        for row in rows_where(session, NoteCoverage, mine, by=(col(NoteCoverage.id),)):
            lines[row.note_id].append(coverage_line(row))
    return {note_id: tuple(its) for note_id, its in lines.items()}


def codes(session: Session, note_ids: Sequence[int]) -> list[NoteCodeRow]:
    return rows_where(session, NoteCodeRow, col(NoteCodeRow.note_id).in_(note_ids))


def attachments(session: Session, note_ids: Sequence[int]) -> list[CheckAttachment]:
    return rows_where(session, CheckAttachment, col(CheckAttachment.note_id).in_(note_ids))


def merged_into(session: Session, shop_id: int) -> dict[int, int]:
    """Duplicates that were merged: retired note id → the id of the note that was kept."""
    rows = session.execute(
        select(col(NoteRow.id), col(NoteRow.merged_into_id)).where(
            col(NoteRow.shop_id) == shop_id, col(NoteRow.merged_into_id).is_not(None)
        )
    )
    return {duplicate: kept for duplicate, kept in rows if duplicate is not None and kept is not None}
