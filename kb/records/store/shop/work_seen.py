"""Who prepares which open concern, and what open concerns there are by make."""

from __future__ import annotations

from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, and_, bindparam, func, select
from sqlmodel import Session, col

from kb.nouns.bay.concern_file import ref_of
from kb.records.tables import ConcernRow, Gate, PrepTick, RepairOrder, VehicleRow


class Prepared(NamedTuple):
    """A person who settled a line of an open concern's preparation."""

    person: str
    item: str
    make: str
    concern_id: int
    ref: str
    replaced: bool


def prepared(session: Session, shop_id: int) -> list[Prepared]:
    """Every line that was settled on an open concern, of preparation and of release."""
    rows = session.execute(_PREPARED, {"shop": shop_id})
    return [
        Prepared(by, item, make, concern_id, ref_of(number, line), gate is not None)
        for by, item, make, concern_id, number, line, gate in rows
    ]


def open_by_make(session: Session, shop_id: int) -> list[tuple[str, bool, int]]:
    """Each writing of a make, whether the module was replaced, and how many concerns of that are open."""
    rows = session.execute(_OPEN, {"shop": shop_id})
    return [(make, bool(replaced), count) for make, replaced, count in rows]


def module_replaced(concern_id: Any) -> ColumnElement[bool]:
    """The condition that joins the gate by which a concern says that its module was replaced."""
    return and_(
        col(Gate.concern_id) == concern_id,
        col(Gate.gate) == "module_original",
        col(Gate.result) == "fault",
    )


_REPLACED = module_replaced(col(ConcernRow.id))
_OF_SHOP = (col(ConcernRow.shop_id) == bindparam("shop"), col(ConcernRow.state) == "open")
_PREPARED = (
    select(
        col(PrepTick.by),
        col(PrepTick.item),
        col(VehicleRow.make),
        col(ConcernRow.id),
        col(RepairOrder.number),
        col(ConcernRow.line),
        col(Gate.id),
    )
    .join(ConcernRow, col(ConcernRow.id) == col(PrepTick.concern_id))
    .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
    .join(VehicleRow, col(VehicleRow.id) == col(RepairOrder.vehicle_id))
    .join(Gate, _REPLACED, isouter=True)
    .where(*_OF_SHOP)
    .order_by(col(PrepTick.id))
)
_OPEN = (
    select(col(VehicleRow.make), col(Gate.id).is_not(None), func.count())
    .select_from(ConcernRow)
    .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
    .join(VehicleRow, col(VehicleRow.id) == col(RepairOrder.vehicle_id))
    .join(Gate, _REPLACED, isouter=True)
    .where(*_OF_SHOP)
    .group_by(col(VehicleRow.make), col(Gate.id).is_not(None))
)
