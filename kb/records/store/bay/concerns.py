"""Vehicles, repair orders and concerns: finding, adding and reading them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import bindparam, select
from sqlmodel import Session, col

from kb.nouns.concerns import ReportedCode
from kb.records.store.bay.writing import add_codes
from kb.records.store.imports.bulk import add_rows
from kb.records.tables import (
    ConcernCandidate,
    ConcernCode,
    ConcernRow,
    RepairOrder,
    VehicleRow,
)


@dataclass(frozen=True, slots=True)
class ConcernRows:
    """The rows that a use case writes to: a concern's own, its repair order's and its vehicle's."""

    concern: ConcernRow
    repair_order: RepairOrder
    vehicle: VehicleRow


def concern(session: Session, shop_id: int, concern_id: int) -> ConcernRows | None:
    """By primary keys, so that a transaction that has the rows already asks the database nothing."""
    row = session.get(ConcernRow, concern_id)
    if row is None or row.shop_id != shop_id:
        return None
    order = session.get_one(RepairOrder, row.repair_order_id)
    return ConcernRows(row, order, session.get_one(VehicleRow, order.vehicle_id))


def concerns_of_repair_order(session: Session, repair_order_id: int) -> list[ConcernRow]:
    return list(
        session.execute(
            select(ConcernRow)
            .where(col(ConcernRow.repair_order_id) == repair_order_id)
            .order_by(col(ConcernRow.line), col(ConcernRow.id))
        ).scalars()
    )


def vehicle_by_vin(session: Session, shop_id: int, vin: str) -> VehicleRow | None:
    return session.execute(_BY_VIN, {"shop": shop_id, "vin": vin}).scalars().first()


_BY_VIN = (
    select(VehicleRow)
    .where(col(VehicleRow.shop_id) == bindparam("shop"), col(VehicleRow.vin) == bindparam("vin"))
    .order_by(col(VehicleRow.id))
)


def vehicles_by_ending(session: Session, shop_id: int, ending: str, limit: int = 5) -> list[VehicleRow]:
    """Vehicles whose VIN ends so (the last 8 as people read them)."""
    return list(
        session.execute(
            select(VehicleRow)
            .where(col(VehicleRow.shop_id) == shop_id, col(VehicleRow.vin).endswith(ending, autoescape=True))
            .order_by(col(VehicleRow.id).desc())
            .limit(limit)
        ).scalars()
    )


def vehicles_like(
    session: Session, shop_id: int, beginning: str, ending: str, limit: int = 2000
) -> list[VehicleRow]:
    """Vehicles whose VIN begins or ends so: one slip of the pen leaves one of both as it is."""
    vin = col(VehicleRow.vin)
    return list(
        session.execute(
            select(VehicleRow)
            .where(
                col(VehicleRow.shop_id) == shop_id,
                vin.startswith(beginning, autoescape=True) | vin.endswith(ending, autoescape=True),
            )
            .order_by(col(VehicleRow.id).desc())
            .limit(limit)
        ).scalars()
    )


def lines_of_number(session: Session, shop_id: int, number: str) -> list[ConcernRows]:
    """Every concern with that RO number, capitals aside, on whatever vehicle; the newest first."""
    written = list({number, number.upper(), number.lower()})
    return [ConcernRows(*row) for row in session.execute(_OF_NUMBER, {"shop": shop_id, "written": written})]


_OF_NUMBER = (
    select(ConcernRow, RepairOrder, VehicleRow)
    .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
    .join(VehicleRow, col(VehicleRow.id) == col(RepairOrder.vehicle_id))
    .where(
        col(RepairOrder.shop_id) == bindparam("shop"),
        col(RepairOrder.number).in_(bindparam("written", expanding=True)),
    )
    .order_by(col(ConcernRow.id).desc())
)


def codes(session: Session, concern_id: int) -> list[ConcernCode]:
    return list(
        session.execute(
            select(ConcernCode).where(col(ConcernCode.concern_id) == concern_id).order_by(col(ConcernCode.id))
        ).scalars()
    )


def replace_codes(session: Session, concern_id: int, reported: Iterable[ReportedCode]) -> None:
    for row in codes(session, concern_id):
        session.delete(row)
    session.flush()
    add_codes(session, [(concern_id, one) for one in reported])


def add_candidates(session: Session, rows: Sequence[Mapping[str, Any]]) -> None:
    add_rows(session, ConcernCandidate, [dict(row) for row in rows])
