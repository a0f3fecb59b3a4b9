"""Bulk reading and writing of a shop's history: what is on file by natural key, and rows many at a time."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import literal, select
from sqlmodel import Session, SQLModel, col

from kb.nouns.vehicles import fold_id
from kb.records.store.imports.bulk import runs, table_of
from kb.records.store.notes.makes import notes_numbered
from kb.records.tables import (
    ConcernCandidate,
    ConcernCode,
    ConcernRow,
    NoteRow,
    OtherWork,
    ProgrammingEvent,
    Reflash,
    RepairOrder,
    VehicleRow,
)

Key = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class NaturalKey:
    """By which columns a row is found again; the first is its owner, the others are compared without case.

    Of several the first is meant, or the `newest`. `imported`: of those alone that a history brought.
    """

    table: type[SQLModel]
    columns: tuple[str, ...]
    newest: bool = False
    imported: bool = False

    def of(self, values: Iterable[Any]) -> Key:
        owner, *others = values
        return (owner, *(fold(one) if isinstance(one, str) else one for one in others))


VEHICLES = NaturalKey(VehicleRow, ("vin",))
ORDERS = NaturalKey(RepairOrder, ("vehicle_id", "number"), newest=True)
CONCERNS = NaturalKey(ConcernRow, ("repair_order_id", "line", "complaint"))
EVENTS = NaturalKey(ProgrammingEvent, ("vehicle_id", "remark", "performed_on", "way"), imported=True)
REFLASHES = NaturalKey(Reflash, ("event_id", "module", "update_id"))
CODES = NaturalKey(ConcernCode, ("concern_id", "code"))
OTHER_WORK = NaturalKey(OtherWork, ("event_id", "what"))
CANDIDATES = NaturalKey(ConcernCandidate, ("concern_id", "note_id"))


def on_file(session: Session, shop_id: int, by: NaturalKey, owners: Iterable[Any]) -> dict[Key, int]:
    """The rows of these owners by their keys; rows of a table without ids are numbered 0."""
    table = table_of(by.table)
    row_id = table.c.get("id", literal(0))
    where = [table.c.shop_id == shop_id] if "shop_id" in table.c else []
    where += [table.c.import_id.is_not(None)] if by.imported else []
    found: dict[Key, int] = {}
    for some in runs(sorted(set(owners))):
        query = select(row_id, *(table.c[name] for name in by.columns))
        among = table.c[by.columns[0]].in_(some)
        rows = session.execute(query.where(among, *where).order_by(row_id if by.newest else row_id.desc()))
        found.update((by.of(key), one) for one, *key in rows)
    return found


def notes_by_number(session: Session, shop_id: int, numbers: Iterable[str]) -> dict[str, int]:
    """Bulletins by folded number: of several a published one before a draft, then the first; a merged one
    stands for the note that was kept in the end.
    """
    rows = [one for one in notes_numbered(session, shop_id, numbers) if one.kind == "bulletin"]
    merged = _merged_from(session, {row.id for row in rows})
    found: dict[str, int] = {}
    for row in sorted(rows, key=lambda one: (_RANK.get(one.state, 3), one.id)):
        found.setdefault(fold_id(row.number), _in_the_end(row.id, merged))
    return found


def _merged_from(session: Session, note_ids: set[int]) -> dict[int, int]:
    """Which of these notes, and of those they went into, and so on, were merged into which."""
    into: dict[int, int] = {}
    asked: set[int] = set()
    while note_ids:
        asked |= note_ids
        step: dict[int, int] = {}
        for some in runs(sorted(note_ids)):
            merged = select(col(NoteRow.id), col(NoteRow.merged_into_id)).where(
                col(NoteRow.id).in_(some), col(NoteRow.merged_into_id).is_not(None)
            )
            step.update((row[0] or 0, row[1] or 0) for row in session.execute(merged))
        into |= step
        note_ids = set(step.values()) - asked
    return into


def _in_the_end(note_id: int, into: Mapping[int, int]) -> int:
    seen: set[int] = set()
    while note_id in into and note_id not in seen:
        seen.add(note_id)
        note_id = into[note_id]
    return note_id


_RANK = {"published": 0, "draft": 1, "retired": 2}


def fold(text: str) -> str:
    """Text for comparing: no case, white space as one blank."""
    return " ".join(text.split()).casefold()
