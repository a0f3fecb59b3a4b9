"""What is on file of like vehicles: whose VIN begins alike, and what was looked up for them."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from sqlalchemy import func, select, true
from sqlmodel import Session, col

from kb.nouns.vehicles import Vehicle
from kb.records.store.bay.other_concerns import vehicle_of
from kb.records.tables import ConcernRow, LookUpRow, RepairOrder, VehicleRow

_MOST = 200


class LookedUp(NamedTuple):
    """A look-up that named an ID, and the concern that it was made for."""

    module: str
    newest_id: str
    looked_up_on: date
    by: str
    ro_number: str
    line: str


def beginning_with(session: Session, shop_id: int, beginning: str) -> list[Vehicle]:
    """Vehicles whose VIN begins so, the newest last."""
    newest = (
        select(VehicleRow)
        .where(
            col(VehicleRow.shop_id) == shop_id,
            col(VehicleRow.vin).startswith(beginning, autoescape=True),
        )
        .order_by(col(VehicleRow.id).desc())
        .limit(_MOST)
    )
    return [vehicle_of(row) for row in session.execute(newest).scalars()][::-1]


def looked_up_on_like(
    session: Session, shop_id: int, vehicle: Vehicle, vehicle_id: int, since: date
) -> list[LookedUp]:
    """What look-ups by VIN named since that day for other vehicles of this make, model and year, the newest
    first; an engine that is known of both is the same.
    """
    engine = func.lower(col(VehicleRow.engine))
    named = (
        select(
            col(LookUpRow.module),
            col(LookUpRow.newest_id),
            col(LookUpRow.looked_up_on),
            col(LookUpRow.by),
            col(RepairOrder.number),
            col(ConcernRow.line),
        )
        .join(VehicleRow, col(VehicleRow.id) == col(LookUpRow.vehicle_id))
        .join(ConcernRow, col(ConcernRow.id) == col(LookUpRow.concern_id))
        .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
        .where(
            col(VehicleRow.shop_id) == shop_id,
            col(VehicleRow.id) != vehicle_id,
            func.lower(col(VehicleRow.make)) == vehicle.make.lower(),
            func.lower(col(VehicleRow.model)) == vehicle.model.lower(),
            col(VehicleRow.year) == vehicle.year,
            engine.in_(("", vehicle.engine.lower())) if vehicle.engine else true(),
            col(LookUpRow.looked_up_on) >= since,
            col(LookUpRow.newest_id) != "",
        )
        .order_by(col(LookUpRow.looked_up_on).desc(), col(LookUpRow.id).desc())
        .limit(_MOST)
    )
    return [LookedUp(*row) for row in session.execute(named)]
