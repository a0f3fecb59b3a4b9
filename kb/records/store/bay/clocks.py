"""Clocks that run, and ending them. Those of a closed concern stand still until it is opened again."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, bindparam, select, update
from sqlmodel import Session, col

from kb.nouns.bay.clocks import Clock, ClockKind
from kb.nouns.copying import copied
from kb.records.store.rows import save
from kb.records.tables import ClockRow, ConcernRow

_RUNNING: ColumnElement[bool] = col(ClockRow.ended_at).is_(None)
_OF_OPEN = (
    select(ClockRow)
    .join(ConcernRow, col(ConcernRow.id) == col(ClockRow.concern_id))
    .where(_RUNNING, col(ConcernRow.state) == "open")
    .order_by(col(ClockRow.id))
)
_OF_CONCERNS = _OF_OPEN.where(col(ClockRow.concern_id).in_(bindparam("concerns", expanding=True)))


def running_on(session: Session, concern_ids: Collection[int]) -> list[Clock]:
    """In the order in which they were started."""
    if not concern_ids:
        return []
    found = session.execute(_OF_CONCERNS, {"concerns": list(concern_ids)}).scalars()
    return [_clock(row) for row in found]


def running(session: Session, shop_id: int) -> list[Clock]:
    """Of every open concern of the shop."""
    asked = _OF_OPEN.where(col(ClockRow.shop_id) == shop_id)
    return [_clock(row) for row in session.execute(asked).scalars()]


def start(session: Session, **columns: Any) -> Clock:
    return _clock(save(session, ClockRow(**columns)))


def end(
    session: Session,
    concern_id: int,
    by: str,
    at: datetime,
    *,
    kinds: Iterable[ClockKind] = (),
    clock_id: int | None = None,
) -> None:
    """End those that run on a concern: all, or those of these kinds, or this id."""
    wanted = [_RUNNING, col(ClockRow.concern_id) == concern_id]
    wanted += [col(ClockRow.kind).in_([one.value for one in kinds])] if kinds else []
    wanted += [col(ClockRow.id) == clock_id] if clock_id is not None else []
    session.execute(update(ClockRow).where(*wanted).values(ended_at=at, ended_by=by))


def _clock(row: ClockRow) -> Clock:
    return copied(Clock, row, kind=ClockKind(row.kind))
