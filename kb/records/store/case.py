"""Everything recorded about one concern: calibrations, look-ups, gates, findings, stops, decisions, prep."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, TypeVar

from sqlalchemy import insert, select
from sqlmodel import Session, SQLModel, col

from kb.records.tables import (
    CalibrationRow,
    CheckRow,
    ConcernRow,
    DecisionRow,
    FindingRow,
    Gate,
    LookUpRow,
    PrepTick,
    StopLift,
)

Row = TypeVar("Row", bound=SQLModel)


def _of_concern(
    session: Session, table: type[Row], concern_column: Any, id_column: Any, concern_id: int
) -> list[Row]:
    return list(
        session.execute(select(table).where(concern_column == concern_id).order_by(id_column)).scalars()
    )


def calibrations(session: Session, concern_id: int) -> list[CalibrationRow]:
    """Every reading, oldest first; of one module the last counts."""
    return _of_concern(
        session, CalibrationRow, col(CalibrationRow.concern_id), col(CalibrationRow.id), concern_id
    )


def look_ups(session: Session, vehicle_id: int) -> list[LookUpRow]:
    """Look-ups by VIN are of the vehicle: those of earlier visits count while they are fresh."""
    return _of_concern(session, LookUpRow, col(LookUpRow.vehicle_id), col(LookUpRow.id), vehicle_id)


def gates(session: Session, concern_id: int) -> list[Gate]:
    return _of_concern(session, Gate, col(Gate.concern_id), col(Gate.id), concern_id)


def findings(session: Session, concern_id: int) -> list[tuple[FindingRow, CheckRow]]:
    rows = session.execute(
        select(FindingRow, CheckRow)
        .join(CheckRow, col(CheckRow.id) == col(FindingRow.check_id))
        .where(col(FindingRow.concern_id) == concern_id)
        .order_by(col(FindingRow.at), col(FindingRow.id))
    )
    return [(finding, check) for finding, check in rows]


def finding_rows(session: Session, concern_id: int) -> list[FindingRow]:
    return _of_concern(session, FindingRow, col(FindingRow.concern_id), col(FindingRow.id), concern_id)


def stop_lifts(session: Session, concern_id: int) -> list[StopLift]:
    return _of_concern(session, StopLift, col(StopLift.concern_id), col(StopLift.id), concern_id)


def decisions(session: Session, concern_id: int) -> list[DecisionRow]:
    return _of_concern(session, DecisionRow, col(DecisionRow.concern_id), col(DecisionRow.id), concern_id)


def decision(session: Session, shop_id: int, decision_id: int) -> DecisionRow | None:
    return session.execute(
        select(DecisionRow)
        .join(ConcernRow, col(ConcernRow.id) == col(DecisionRow.concern_id))
        .where(col(ConcernRow.shop_id) == shop_id, col(DecisionRow.id) == decision_id)
    ).scalar_one_or_none()


def prep_ticks(session: Session, concern_id: int) -> list[PrepTick]:
    return _of_concern(session, PrepTick, col(PrepTick.concern_id), col(PrepTick.id), concern_id)


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
    """Insert rows of which nobody needs the ids, in one statement."""
    if rows:
        session.execute(insert(table), [dict(row) for row in rows])
