"""What is on file after a kill, against what was acknowledged."""

from __future__ import annotations

import threading
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import func, select
from sqlmodel import col

from kb.desk.access import trail
from kb.desk.context import CONSOLE, Desk, RunningShop
from kb.nouns.shop.trail import TrailCheck
from kb.records.tables import (
    ConcernCode,
    ConcernRow,
    NoteCodeRow,
    NoteCoverage,
    NoteRevision,
    NoteRow,
    NoteStep,
    RepairOrder,
    Trail,
    VehicleRow,
)

CODES = ("P0171", "P0174", "P0300")
_OF_A_NOTE = {NoteCodeRow: len(CODES), NoteCoverage: 2, NoteStep: 2, NoteRevision: 1}


@dataclass
class Saved:
    """What was acknowledged, by any of the writers: the number that was sent, by id."""

    notes: dict[int, str] = field(default_factory=dict)
    concerns: dict[int, str] = field(default_factory=dict)
    _adding: threading.Lock = field(default_factory=threading.Lock)

    @property
    def count(self) -> int:
        return len(self.notes) + len(self.concerns)

    def keep(self, path: str, number: int, body: dict[str, Any]) -> None:
        with self._adding:
            if path == "/api/notes":
                self.notes[number] = body["number"]
            else:
                self.concerns[number] = body["ro_number"]


def lost(shop: RunningShop, saved: Saved) -> int:
    """How many were acknowledged and are not on file as they were sent."""
    with shop.reading(CONSOLE) as desk:
        notes = _pairs(desk, select(col(NoteRow.id), col(NoteRow.number)))
        concerns = _pairs(
            desk,
            select(col(ConcernRow.id), col(RepairOrder.number)).join(
                RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id)
            ),
        )
    missing = [one for one, number in saved.notes.items() if notes.get(one) != number]
    missing += [one for one, number in saved.concerns.items() if concerns.get(one) != number]
    return len(missing)


def half_written(shop: RunningShop) -> int:
    """How many notes and concerns on file lack a row of theirs, or rows lack theirs."""
    with shop.reading(CONSOLE) as desk:
        wrong: int = 0
        for table, wanted in _OF_A_NOTE.items():
            wrong += _without(desk, NoteRow, col(table.note_id), wanted)  # type: ignore[attr-defined]
        wrong += _without(desk, ConcernRow, col(ConcernCode.concern_id), len(CODES))
        wrong += _not_each_once(desk, col(RepairOrder.id), col(ConcernRow.repair_order_id))
        wrong += _not_each_once(desk, col(VehicleRow.id), col(RepairOrder.vehicle_id))
        return wrong + _without_a_line(desk)


def trail_says(shop: RunningShop) -> TrailCheck:
    with shop.reading(CONSOLE) as desk:
        return trail.check_trail(desk)


def _pairs(desk: Desk, query: Any) -> dict[int, Any]:
    return {row[0]: row[1] for row in desk.session.execute(query)}


def _without(desk: Desk, whole: Any, part: Any, wanted: int) -> int:
    """How many of `whole` have not the wanted number of parts, and parts that are of none."""
    counted = _pairs(desk, select(part, func.count()).group_by(part))
    ids = set(desk.session.execute(select(col(whole.id))).scalars())
    return len([one for one in ids if counted.get(one) != wanted]) + len(counted.keys() - ids)


def _not_each_once(desk: Desk, ids: Any, named: Any) -> int:
    one = set(desk.session.execute(select(ids)).scalars())
    other = Counter(desk.session.execute(select(named)).scalars())
    return len(one ^ other.keys()) + sum(count != 1 for count in other.values())


def _without_a_line(desk: Desk) -> int:
    """How many notes and concerns the trail does not know of."""
    wrong = 0
    for noun, table in (("note", NoteRow), ("concern", ConcernRow)):
        told = set(desk.session.execute(select(col(Trail.noun_id)).where(col(Trail.noun) == noun)).scalars())
        wrong += len(set(desk.session.execute(select(col(table.id))).scalars()) - told)
    return wrong
