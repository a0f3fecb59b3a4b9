"""What the search index is made from: which notes and concerns changed, and concerns as texts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import fields
from typing import Any, NamedTuple

from sqlalchemy import select
from sqlmodel import Session, col

from kb.nouns.vehicles import Vehicle
from kb.records.store.imports.bulk import runs
from kb.records.store.rows import columns
from kb.records.tables import ConcernCode, ConcernRow, LexiconEntry, NoteRow, RepairOrder, VehicleRow

_OF_VEHICLE = [field.name for field in fields(Vehicle)]


class ConcernText(NamedTuple):
    """A concern as the index takes it."""

    id: int
    complaint: str
    technician_words: str
    other_cause: str
    vehicle: Vehicle
    codes: tuple[str, ...]


def changed_notes(session: Session, shop_id: int, since: int) -> list[tuple[int, bool]]:
    """Ids of notes saved after revision `since`, and whether each is published."""
    rows = session.execute(
        select(col(NoteRow.id), col(NoteRow.state))
        .where(col(NoteRow.shop_id) == shop_id, col(NoteRow.changed_revision) > since)
        .order_by(col(NoteRow.id))
    )
    return [(note_id or 0, state == "published") for note_id, state in rows]


def changed_concerns(session: Session, shop_id: int, since: int) -> list[int]:
    rows = session.execute(
        select(col(ConcernRow.id))
        .where(col(ConcernRow.shop_id) == shop_id, col(ConcernRow.changed_revision) > since)
        .order_by(col(ConcernRow.id))
    ).scalars()
    return [concern_id for concern_id in rows if concern_id is not None]


def concern_texts(session: Session, ids: Sequence[int]) -> list[ConcernText]:
    """Concerns with these ids (some hundreds at most), by id."""
    codes: dict[int, list[str]] = defaultdict(list)
    for concern_id, code in session.execute(
        select(col(ConcernCode.concern_id), col(ConcernCode.code)).where(col(ConcernCode.concern_id).in_(ids))
    ):
        codes[concern_id].append(code)
    rows = session.execute(
        select(*columns(ConcernRow, ConcernText._fields[:4]), *columns(VehicleRow, _OF_VEHICLE))
        .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
        .join(VehicleRow, col(VehicleRow.id) == col(RepairOrder.vehicle_id))
        .where(col(ConcernRow.id).in_(ids))
        .order_by(col(ConcernRow.id))
    )
    return [
        ConcernText(concern_id, complaint, words, cause, Vehicle(*vehicle), tuple(codes[concern_id]))
        for concern_id, complaint, words, cause, *vehicle in rows
    ]


def published_notes(session: Session, shop_id: int, note_ids: Sequence[int]) -> list[Any]:
    """(id, kind, number, title, source, remedy_module) of those of these notes that are published."""
    told = columns(NoteRow, ("id", "kind", "number", "title", "source", "remedy_module"))
    wanted = select(*told).where(col(NoteRow.shop_id) == shop_id, col(NoteRow.state) == "published")
    return [row for ids in runs(note_ids) for row in session.execute(wanted.where(col(NoteRow.id).in_(ids)))]


def lexicon_changes(session: Session, shop_id: int) -> list[tuple[str, str, bool]]:
    """(concept, phrase, removes) of every entry in force, in the order they were made."""
    rows = session.execute(
        select(col(LexiconEntry.concept), col(LexiconEntry.phrase), col(LexiconEntry.removes))
        .where(col(LexiconEntry.shop_id) == shop_id, col(LexiconEntry.undone_at).is_(None))
        .order_by(col(LexiconEntry.id))
    )
    return [(concept, phrase, removes) for concept, phrase, removes in rows]
