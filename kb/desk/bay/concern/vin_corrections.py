"""A VIN corrected on a repair order: the vehicle's own slip of the pen, or another vehicle altogether."""

from __future__ import annotations

from dataclasses import replace

from kb.desk.bay.concern.vehicles import VehicleRead, correct_vehicle
from kb.desk.bay.outcomes.observed import renew_vehicles
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import Conflict
from kb.nouns.bay.concern_file import next_line
from kb.nouns.vehicles import Vehicle
from kb.records.store.bay import concerns as store
from kb.records.store.bay import moving, readings, writing
from kb.records.store.bay.concerns import ConcernRows
from kb.records.store.bay.other_concerns import vehicle_of
from kb.records.tables import RepairOrder, VehicleRow


@anyone_in_the_shop
def correct_vehicle_of(desk: Desk, held: ConcernRows, said: Vehicle, read: VehicleRead) -> None:
    """Write what is now known of a concern's vehicle (`said` as typed, `read` with what its VIN says).

    | the VIN now                                               | the repair order                      |
    |-----------------------------------------------------------|---------------------------------------|
    | as before, or empty                                       | stays on its vehicle                  |
    | of another vehicle on file                                | goes to that one, where its number is |
    |                                                           | on file: as further lines of that one |
    | new; its vehicle had none, or has no other repair order   | stays; the VIN is written there       |
    | new; its vehicle has a VIN and other repair orders        | goes to a vehicle of its own          |

    Raises Conflict where a programming event of it counts for another repair order too.
    """
    row, order = held.vehicle, held.repair_order
    if not _is_of_another(desk, held, read):
        correct_vehicle(desk, row, read.vehicle)
        return
    if moving.counts_elsewhere(desk.session, order):
        raise Conflict(
            f"A programming event of RO {order.number} counts for another repair order of {row.vin} too, so "
            "it cannot go to another vehicle. Leave this VIN, and open the concern anew with the right one."
        )
    if read.known is None:
        _move(desk, held, writing.add_vehicles(desk.session, desk.stamp(), [read.vehicle])[0])
        return
    correct_vehicle(desk, read.known, _told_of_the_other(row, said))
    read.known.version += 1  # a history told anew leaves it as it is
    _move(desk, held, read.known.id or 0)


def _is_of_another(desk: Desk, held: ConcernRows, read: VehicleRead) -> bool:
    had = held.vehicle.vin
    if read.vehicle.vin in ("", had):
        return False
    if read.known is not None:
        return True
    return bool(had) and not moving.is_alone_on_its_vehicle(desk.session, held.repair_order)


def _told_of_the_other(row: VehicleRow, said: Vehicle) -> Vehicle:
    """What was typed for the vehicle on file; what stood in the form of the wrong one says nothing of it."""
    wrong = vehicle_of(row)
    return replace(
        said,
        vin="",
        make="" if said.make == wrong.make else said.make,
        model="" if said.model == wrong.model else said.model,
        year=None if said.year == wrong.year else said.year,
        engine="" if said.engine == wrong.engine else said.engine,
        built_on=None if said.built_on == wrong.built_on else said.built_on,
    )


def _one_order_a_number(desk: Desk, order: RepairOrder) -> None:
    """Where its new vehicle has a repair order of that number, its concerns become further lines of it."""
    held = store.lines_of_number(desk.session, desk.shop.id, order.number)
    held = [one for one in held if one.vehicle.id == order.vehicle_id]
    others = [one for one in held if one.repair_order is not order]
    if not others:
        return
    lines: dict[int, str] = {}
    taken = {one.concern.line for one in others}
    for one in sorted((one for one in held if one.repair_order is order), key=lambda one: one.concern.line):
        kept = one.concern.line
        line = kept if kept and kept not in taken else next_line(taken)
        taken.add(line)
        lines[one.concern.id or 0] = line
    moving.join(desk.session, order, others[0].repair_order, lines)
    desk.session.expire_all()


def _move(desk: Desk, held: ConcernRows, to: int) -> None:
    """A vehicle that nothing is of any more is taken off the file. What our records said of it is struck."""
    left, order_id = held.vehicle.id or 0, held.repair_order.id or 0
    moving.move(desk.session, held.repair_order, to, desk.bump("concerns"))
    readings.strike_what_records_said(desk.session, order_id, desk.actor.name, desk.now)
    _one_order_a_number(desk, held.repair_order)
    if moving.is_bare(desk.session, left):
        desk.session.delete(held.vehicle)
    renew_vehicles(desk, (left, to))
    desk.bump("outcomes")
    desk.note_down("moved", "repair order", order_id, from_vehicle=left, to_vehicle=to)
