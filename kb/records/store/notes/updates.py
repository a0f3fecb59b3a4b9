"""Updates as the desk needs them all at once: bulletins with calibration steps, or a software remedy."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Row, or_, select
from sqlmodel import Session, col

from kb.nouns.notes import Remedy
from kb.nouns.vehicles import Coverage, CoverageLine
from kb.records.store.imports.bulk import runs
from kb.records.store.rows import columns, rows_where
from kb.records.tables import NoteCodeRow, NoteCoverage, NoteRow, NoteStep

_TOLD = (
    "id", "number", "title", "symptom", "conditions", "system", "remedy", "remedy_module", "source",
    "version", "speaks_against",
)  # fmt: skip
_COVERED = ("note_id", "make", "model", "years", "engine", "built_from", "built_to", "vin_prefix")


def published_updates(session: Session, shop_id: int, among: Sequence[int] | None = None) -> list[Row[Any]]:
    """Published bulletins (or those of them `among` some) that hold a calibration step, or whose remedy is
    software, by id; their texts left out that no advice reads.
    """
    software = [one.value for one in Remedy if one.holds_software]
    with_steps = select(col(NoteStep.note_id)).distinct()
    wanted = select(*columns(NoteRow, _TOLD)).where(
        col(NoteRow.shop_id) == shop_id,
        col(NoteRow.kind) == "bulletin",
        col(NoteRow.state) == "published",
        or_(col(NoteRow.remedy).in_(software), col(NoteRow.id).in_(with_steps)),
    )
    if among is not None:
        wanted = wanted.where(col(NoteRow.id).in_(among))
    return list(session.execute(wanted.order_by(col(NoteRow.id))))


def steps(session: Session, note_ids: Sequence[int]) -> list[NoteStep]:
    return rows_where(session, NoteStep, col(NoteStep.note_id).in_(note_ids), by=(col(NoteStep.id),))


def coverage(session: Session, note_ids: Sequence[int]) -> dict[int, Coverage]:
    """The lines of each of these notes that has any, however many they are; equal ones are one object."""
    lines: dict[int, list[CoverageLine]] = defaultdict(list)
    one_of: dict[CoverageLine, CoverageLine] = {}
    for some in runs(note_ids):
        mine = select(*columns(NoteCoverage, _COVERED)).where(col(NoteCoverage.note_id).in_(some))
        for note_id, make, model, years, *more in session.execute(mine.order_by(col(NoteCoverage.id))):
            line = CoverageLine(make, model, tuple((int(a), int(b)) for a, b in years), *more)
            lines[note_id].append(one_of.setdefault(line, line))
    return {note_id: tuple(its) for note_id, its in lines.items()}


def codes(session: Session, note_ids: Sequence[int]) -> list[NoteCodeRow]:
    return rows_where(session, NoteCodeRow, col(NoteCodeRow.note_id).in_(note_ids))


def merged_into(session: Session, shop_id: int, among: Sequence[int] | None = None) -> dict[int, int]:
    """Duplicates (or those `among` some) that were merged: retired note id → the id of the note kept."""
    wanted = select(col(NoteRow.id), col(NoteRow.merged_into_id)).where(
        col(NoteRow.shop_id) == shop_id, col(NoteRow.merged_into_id).is_not(None)
    )
    rows = session.execute(wanted if among is None else wanted.where(col(NoteRow.id).in_(among)))
    return {duplicate: kept for duplicate, kept in rows if duplicate is not None and kept is not None}
