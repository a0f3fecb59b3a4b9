"""A list of concerns narrowed: to whose they are, what they wait for, and the module they are about."""

from __future__ import annotations

from collections.abc import Collection

from sqlalchemy import ColumnElement, CompoundSelect, Select, exists, func, or_, select, union
from sqlmodel import Session, col

from kb.nouns.bay.list_asked import NOTHING, ListAsked
from kb.records.tables import (
    ConcernCandidate,
    ConcernCode,
    ConcernRow,
    NoteStep,
    ReadingRow,
    ReadoutRow,
    RepairOrder,
    Trail,
    VehicleRow,
)


def narrowed_to(shop_id: int, asked: ListAsked, written: Collection[str]) -> list[ColumnElement[bool]]:
    """Conditions on concerns joined with their vehicle; `written`: the module asked for, as it is written."""
    found = _in_state(shop_id, asked.state)
    if asked.text:
        found.append(_says(asked.text))
    if asked.mine:
        found.append(is_of(asked.mine))
    if asked.waiting_for:
        waits = "" if asked.waiting_for == NOTHING else asked.waiting_for
        found += [col(ConcernRow.waiting_for) == waits, col(ConcernRow.state) == "open"]
    if asked.module:
        named = _modules(shop_id, asked.state).subquery()
        found.append(col(ConcernRow.id).in_(select(named.c.concern_id).where(named.c.module.in_(written))))
    return found


def is_of(name: str) -> ColumnElement[bool]:
    """Whether somebody opened a concern or wrote something down on it, as the trail says."""
    wrote = exists().where(
        col(Trail.noun) == "concern", col(Trail.noun_id) == col(ConcernRow.id), col(Trail.who) == name
    )
    return or_(col(ConcernRow.opened_by) == name, wrote)


def open_by_wait(session: Session, shop_id: int) -> dict[str, int]:
    """How many open concerns wait for what; under the empty one those that wait for nothing."""
    waits = col(ConcernRow.waiting_for)
    asked = select(waits, func.count()).where(*_in_state(shop_id, "open")).group_by(waits)
    return {row[0]: row[1] for row in session.execute(asked)}


def open_of(session: Session, shop_id: int, name: str) -> int:
    asked = select(func.count()).select_from(ConcernRow).where(*_in_state(shop_id, "open"), is_of(name))
    return session.execute(asked).scalar() or 0


def open_modules(session: Session, shop_id: int) -> list[tuple[int, str]]:
    """Of open concerns (id, module as it is written there)."""
    return [(at, module) for at, module in session.execute(_modules(shop_id, "open"))]


def modules_written(session: Session, shop_id: int, state: str) -> list[str]:
    """Each writing of a module that concerns of a state have; of an empty one, all."""
    named = _modules(shop_id, state).subquery()
    return list(session.execute(select(named.c.module).distinct()).scalars())


def _in_state(shop_id: int, state: str) -> list[ColumnElement[bool]]:
    """An empty one is any."""
    return [col(ConcernRow.shop_id) == shop_id, *([col(ConcernRow.state) == state] if state else [])]


def _says(text: str) -> ColumnElement[bool]:
    written = (col(RepairOrder.number), col(VehicleRow.vin), col(ConcernRow.complaint))
    return or_(*(one.icontains(text, autoescape=True) for one in written))


def _modules(shop_id: int, state: str) -> CompoundSelect[tuple[int, str]]:
    """(concern, module): read there, named by a code, or programmed by an update that is about it. Each part
    asks for these concerns alone: a shop has a few open ones, and years of others.
    """
    these = select(col(ConcernRow.id)).where(*_in_state(shop_id, state))
    of_updates: Select[int, str] = (
        select(col(ConcernCandidate.concern_id).label("concern_id"), col(NoteStep.module).label("module"))
        .join(NoteStep, col(NoteStep.note_id) == col(ConcernCandidate.note_id))
        .where(
            col(ConcernCandidate.concern_id).in_(these),
            col(ConcernCandidate.about).is_not(False),
            col(ConcernCandidate.position) == 0,
        )
    )
    read = (
        select(col(ReadoutRow.concern_id), col(ReadingRow.module))
        .join(ReadoutRow, col(ReadoutRow.id) == col(ReadingRow.readout_id))
        .where(
            col(ReadoutRow.concern_id).in_(these),
            col(ReadingRow.module) != "",
            col(ReadingRow.struck_at).is_(None),
        )
    )
    named = select(col(ConcernCode.concern_id), col(ConcernCode.module)).where(
        col(ConcernCode.concern_id).in_(these), col(ConcernCode.module) != ""
    )
    return union(of_updates, read, named)
