"""Everything recorded about one concern: look-ups, gates, findings, stops, decisions, prep."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from functools import cache
from typing import Any, TypeVar

from sqlalchemy import Select, bindparam, select, update
from sqlmodel import Session, SQLModel, col

from kb.records.store.imports.bulk import add_rows
from kb.records.tables import (
    Authorization,
    FindingRow,
    Gate,
    PrepTick,
)

Row = TypeVar("Row", bound=SQLModel)


@cache
def _rows_by(table: type[Row], owner: str) -> Select[Row]:
    """Every row of a table of one owner, by id; a page of a concern asks this of table after table."""
    columns: Any = table
    return select(table).where(getattr(columns, owner) == bindparam("owner")).order_by(columns.id)


def _of_concern(session: Session, table: type[Row], owner_id: int, owner: str = "concern_id") -> list[Row]:
    return list(session.execute(_rows_by(table, owner), {"owner": owner_id}).scalars())


def gates(session: Session, concern_id: int) -> list[Gate]:
    return _of_concern(session, Gate, concern_id)


def finding_rows(session: Session, concern_id: int) -> list[FindingRow]:
    return _of_concern(session, FindingRow, concern_id)


def prep_ticks(session: Session, concern_id: int) -> list[PrepTick]:
    return _of_concern(session, PrepTick, concern_id)


def put_tick(
    session: Session,
    concern_id: int,
    *,
    item: str,
    by: str,
    at: datetime,
    measured: str = "",
    passed_over: str = "",
    said: Mapping[str, str] | None = None,
) -> None:
    row = next((t for t in prep_ticks(session, concern_id) if t.item == item), None)
    if row is None:
        row = PrepTick(concern_id=concern_id, item=item, by=by, at=at)
    row.measured, row.passed_over, row.by, row.at = measured, passed_over, by, at
    row.said = dict(said or {})
    session.add(row)
    session.flush()


def ticked_on(session: Session, item: str, concern_ids: Collection[int]) -> dict[int, tuple[str, datetime]]:
    """By concern who settled this line, and when."""
    wanted = (col(PrepTick.concern_id).in_(concern_ids), col(PrepTick.item) == item)
    rows = session.execute(
        select(col(PrepTick.concern_id), col(PrepTick.by), col(PrepTick.at)).where(*wanted)
    )
    return {concern_id: (by, at) for concern_id, by, at in rows}


def clear_tick(session: Session, concern_id: int, item: str) -> None:
    for row in prep_ticks(session, concern_id):
        if row.item == item:
            session.delete(row)
    session.flush()


def add(session: Session, rows: Sequence[SQLModel]) -> None:
    """Add rows and give them their ids."""
    session.add_all(rows)
    session.flush()


def insert_rows(session: Session, table: type[SQLModel], rows: Sequence[Mapping[str, Any]]) -> None:
    """Insert rows of which nobody needs the ids, in one statement. Every row names all its columns."""
    add_rows(session, table, [dict(row) for row in rows])


def forget_numbers_called(session: Session, repair_order_id: int) -> None:
    """Leave what the customer answered without the number that was called for it."""
    of_order = col(Authorization.repair_order_id) == repair_order_id
    session.execute(update(Authorization).where(of_order).values(number_called=""))
