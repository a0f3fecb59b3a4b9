"""Updates as the desk needs them all at once: bulletins with calibration steps, or a software remedy."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Row, or_, select
from sqlmodel import Session, col

from kb.nouns.notes import CodeKind, Remedy
from kb.nouns.vehicles import CalibrationStep, Coverage, CoverageLine
from kb.records.store.imports.bulk import runs
from kb.records.store.notes.note_texts import as_written, line_of
from kb.records.store.rows import columns
from kb.records.tables import NoteCodeRow, NoteCoverage, NoteRow, NoteStep

_TOLD = (
    "id", "number", "title", "symptom", "conditions", "system", "remedy", "remedy_module", "source",
    "version", "speaks_against",
)  # fmt: skip


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


def steps(session: Session, note_ids: Sequence[int]) -> dict[int, list[CalibrationStep]]:
    """The calibration steps of each of these notes that has any."""
    found: dict[int, list[CalibrationStep]] = defaultdict(list)
    told = select(*columns(NoteStep, ("note_id", "module", "old_ids", "new_id")))
    for some in runs(note_ids):
        mine = told.where(col(NoteStep.note_id).in_(some)).order_by(col(NoteStep.id))
        for note_id, module, old_ids, new_id in session.execute(mine):
            found[note_id].append(CalibrationStep(module, tuple(old_ids), new_id))
    return found


def coverage(session: Session, note_ids: Sequence[int]) -> dict[int, Coverage]:
    """The lines of each of these notes that has any, however many they are; equal ones are one object."""
    lines: dict[int, list[CoverageLine]] = defaultdict(list)
    one_of: dict[tuple[Any, ...], CoverageLine] = {}
    told = select(col(NoteCoverage.note_id), *as_written())
    for some in runs(note_ids):
        mine = told.where(col(NoteCoverage.note_id).in_(some)).order_by(col(NoteCoverage.id))
        for note_id, *written in session.execute(mine):
            key = tuple(written)
            line = one_of.get(key)
            if line is None:
                line = one_of[key] = line_of(*key)
            lines[note_id].append(line)
    return {note_id: tuple(its) for note_id, its in lines.items()}


def codes(session: Session, note_ids: Sequence[int]) -> dict[int, dict[str, CodeKind]]:
    """The codes of each of these notes that has any."""
    found: dict[int, dict[str, CodeKind]] = defaultdict(dict)
    told = select(*columns(NoteCodeRow, ("note_id", "code", "kind")))
    for some in runs(note_ids):
        for note_id, code, kind in session.execute(told.where(col(NoteCodeRow.note_id).in_(some))):
            found[note_id][code] = CodeKind(kind)
    return found


def merged_into(session: Session, shop_id: int, among: Sequence[int] | None = None) -> dict[int, int]:
    """Duplicates (or those `among` some) that were merged: retired note id → the id of the note kept."""
    wanted = select(col(NoteRow.id), col(NoteRow.merged_into_id)).where(
        col(NoteRow.shop_id) == shop_id, col(NoteRow.merged_into_id).is_not(None)
    )
    rows = session.execute(wanted if among is None else wanted.where(col(NoteRow.id).in_(among)))
    return {duplicate: kept for duplicate, kept in rows if duplicate is not None and kept is not None}
