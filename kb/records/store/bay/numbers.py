"""Past concerns by numbers that people have at hand: repair order, end of a VIN, part of a calibration ID."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sqlalchemy import ColumnElement, Select, and_, func, or_, select
from sqlmodel import Session, col

from kb.nouns.read_values import ReadKind
from kb.records.store.rows import folded, folded_part
from kb.records.tables import ConcernRow, ReadingRow, ReadoutRow, RepairOrder, VehicleRow


def of_repair_orders(
    session: Session, shop_id: int, orders: Sequence[tuple[str, str]], most: int
) -> list[int]:
    """Ids of the concerns of (number, line), the newest first; an empty line is any line."""
    if not orders:
        return []
    asked = [
        and_(_written(number), func.upper(col(ConcernRow.line)) == line) if line else _written(number)
        for number, line in orders
    ]
    return _ids(session, _of(shop_id).where(or_(*asked)), most)


def of_vins(session: Session, shop_id: int, endings: Iterable[str], most: int) -> list[int]:
    """Ids of the concerns of vehicles whose VIN ends so, the newest first."""
    asked = [col(VehicleRow.vin).endswith(ending, autoescape=True) for ending in endings]
    if not asked:
        return []
    of_vehicles = _of(shop_id).join(VehicleRow, col(VehicleRow.id) == col(RepairOrder.vehicle_id))
    return _ids(session, of_vehicles.where(or_(*asked)), most)


def with_calibration(session: Session, shop_id: int, part: str, most: int) -> list[int]:
    """Ids of the concerns on which a calibration ID with this part was read, capitals and hyphens aside."""
    read = (
        select(col(ReadoutRow.concern_id))
        .join(ReadingRow, col(ReadingRow.readout_id) == col(ReadoutRow.id))
        .where(
            col(ReadingRow.kind) == ReadKind.CALIBRATION_ID.value,
            col(ReadingRow.struck_at).is_(None),
            folded(col(ReadingRow.value)).contains(folded_part(part), autoescape=True),
        )
    )
    return _ids(session, _of(shop_id).where(col(ConcernRow.id).in_(read)), most)


def _written(number: str) -> ColumnElement[bool]:
    """By the index on numbers, in capitals or small letters as they come."""
    return col(RepairOrder.number).in_({number, number.upper(), number.lower()})


def _of(shop_id: int) -> Select[int | None]:
    """Concerns of a shop; what a running import has taken so far is of revision 0."""
    return (
        select(col(ConcernRow.id))
        .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
        .where(col(ConcernRow.shop_id) == shop_id, col(ConcernRow.changed_revision) > 0)
    )


def _ids(session: Session, asked: Select[int | None], most: int) -> list[int]:
    newest = asked.order_by(col(ConcernRow.opened_on).desc(), col(ConcernRow.id).desc()).limit(most)
    return [found for found in session.execute(newest).scalars() if found is not None]
