"""The RO number at intake: a further line of its repair order, or a question where another vehicle has it.

A number comes again with the years. Within one it is a slip of the pen, a vehicle whose VIN nobody typed, or
two books with the same numbers; whichever it is, no two concerns are called "RO 2087-A".
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from kb.desk.bay.concern import vehicles, vin_corrections
from kb.desk.bay.concern.vehicles import VehicleRead
from kb.desk.context import Desk
from kb.errors import BadInput, Conflict
from kb.nouns.bay.concern_file import next_line, ref_of
from kb.nouns.bay.number_for_now import is_for_now
from kb.nouns.concerns import ConcernDraft, NumberIs
from kb.nouns.vehicles import Vehicle
from kb.records.store.bay import concerns as store
from kb.records.store.bay import writing
from kb.records.store.bay.concerns import ConcernRows
from kb.records.store.bay.other_concerns import vehicle_of
from kb.records.tables import RepairOrder

NUMBER_STANDS = timedelta(days=365)
"""How long a number is taken for one repair order's; a guess, as shops count on for years."""
_ASK = (
    "Is it this vehicle, with one more line? Another vehicle: type its number again, or say that both have "
    "this one."
)


_AS_PRINTED = re.compile(r"[^\W_](?:[^\W_]|[-/. ])*")


def what_is_none(number: str) -> dict[str, str]:
    """What is wrong with an RO number that is typed, by field; what a file brings stands as it is."""
    if not number.strip():
        return {"ro_number": "Enter the repair order's number."}
    if not _AS_PRINTED.fullmatch(number.strip()):
        return {"ro_number": "An RO number as it is printed: letters, digits, - / . and spaces."}
    return {}


@dataclass(frozen=True, slots=True)
class Placed:
    """A new concern with its line and vehicle, before anything is written.

    `order`: its repair order where that is on file; `other`: a concern of it, where that is on a vehicle
    said to be this one.
    """

    draft: ConcernDraft
    read: VehicleRead
    order: RepairOrder | None
    other: ConcernRows | None = None


def place(desk: Desk, draft: ConcernDraft, read: VehicleRead) -> Placed:
    """Where a new concern goes.

    | the number is on              | `same_number`   | the concern becomes                         |
    |-------------------------------|-----------------|---------------------------------------------|
    | this vehicle                  |                 | a further line of that repair order         |
    | another vehicle within a year |                 | Conflict, whose `details` name the vehicle  |
    |                               | this_vehicle    | a further line there                        |
    |                               | another_vehicle | a repair order of its own, its lines go on  |
    | none                          |                 | a repair order of its own                   |

    Raises Conflict for a line that is on file too, BadInput for "this vehicle" with the VIN of another.
    """
    held = store.lines_of_number(desk.session, desk.shop.id, draft.ro_number)
    mine = [one for one in held if read.known is not None and one.vehicle.id == read.known.id]
    others = [one for one in held if one not in mine and _stands(one, draft.opened_on or desk.today)]
    placed = Placed(draft, read, mine[0].repair_order if mine else None)
    if others and not mine:
        newest = [one for one in others if one.repair_order is others[0].repair_order]
        placed = _as_said(placed, min(newest, key=lambda one: one.concern.line))
    taken = [one for one in held if one in others or one.repair_order is placed.order]
    line = draft.line.strip().upper() or next_line({one.concern.line for one in taken})
    _refuse_taken(draft.ro_number, line, taken)
    return replace(placed, draft=replace(placed.draft, line=line, vehicle=placed.read.vehicle))


def order_of(desk: Desk, placed: Placed) -> RepairOrder:
    """The repair order, written: new, or on file with what is now known of its vehicle."""
    draft, read, order = placed.draft, placed.read, placed.order
    if order is None:
        at = vehicles.remember(desk, read)
        [order_id] = writing.add_orders(desk.session, desk.stamp(), [(at, draft)])
        return desk.session.get_one(RepairOrder, order_id)
    if placed.other is None:
        vehicles.remember(desk, read)
    else:
        vin_corrections.correct_vehicle_of(desk, placed.other, draft.vehicle, read)
    order.odometer = draft.odometer or order.odometer
    order.phone = draft.phone or order.phone
    return order


def give_number(desk: Desk, held: ConcernRows, typed: str) -> None:
    """Name a repair order that was opened without a number; one that has its own keeps it.

    Raises BadInput for what is none, Conflict for one on file of this vehicle, or of another within a year.
    """
    order, number = held.repair_order, typed.strip()
    if not number or is_for_now(number) or not is_for_now(order.number):
        return
    if wrong := what_is_none(number):
        raise BadInput(" ".join(wrong.values()), fields=wrong)
    for one in store.lines_of_number(desk.session, desk.shop.id, number):
        if one.vehicle.id == held.vehicle.id or _stands(one, order.opened_on):
            there = f"{ref_of(number, one.concern.line)} is on file: “{one.concern.complaint[:80]}”"
            raise Conflict(f"{there}. Type this one's own number.", fields={"ro_number": there})
    order.number = number


def refuse_another(held: ConcernRows, typed: str, line: str) -> None:
    """Raise BadInput for a number or line typed over those that stand; a program that sends others is told by
    its documentation that they stay.
    """
    number, stands = typed.strip(), held.repair_order.number
    other_number = number and not is_for_now(number) and number.casefold() != stands.casefold()
    other_line = line.strip() and line.strip().upper() != held.concern.line.upper()
    if is_for_now(stands) or not (other_number or other_line):
        return
    ref = ref_of(stands, held.concern.line)
    raise BadInput(
        f"{ref} keeps its number: what was done and paid is on file under it. Of another repair order? Then "
        "open a concern there and close this one.",
        fields={"ro_number": f"{ref} stays"},
    )


def _stands(one: ConcernRows, opened_on: date) -> bool:
    return abs(one.repair_order.opened_on - opened_on) <= NUMBER_STANDS


def _as_said(placed: Placed, other: ConcernRows) -> Placed:
    """`other` is the first line of the newest repair order of that number on another vehicle."""
    said, filed = placed.draft.same_number, vehicle_of(other.vehicle)
    if said is NumberIs.ANOTHER_VEHICLE:
        return placed
    if said is NumberIs.NOT_ASKED:
        _ask(other, filed)
    vin = placed.read.vehicle.vin
    if vin and filed.vin and vin != filed.vin:
        told = (
            f"RO {other.repair_order.number} is on file with VIN {filed.vin}. Correct the one that is wrong."
        )
        raise BadInput(told, fields={"vin": told, "same_number": told})
    read = replace(placed.read, vehicle=filed.or_else(placed.read.vehicle))
    return replace(placed, read=read, order=other.repair_order, other=other)


def _ask(other: ConcernRows, filed: Vehicle) -> None:
    ref = ref_of(other.repair_order.number, other.concern.line)
    named = " ".join(filter(None, (filed.name, filed.vin and f"…{filed.vin[-8:]}")))
    raise Conflict(
        f"{ref} is {named or 'a vehicle without a name'}: “{other.concern.complaint[:80]}”. {_ASK}",
        fields={"ro_number": f"{ref} is on file", "same_number": " or ".join(filter(None, NumberIs))},
        details={
            "same_number": {
                "id": other.concern.id,
                "ref": ref,
                "complaint": other.concern.complaint,
                "vehicle": named,
                "vin": filed.vin,
                "opened_on": other.repair_order.opened_on.isoformat(),
            }
        },
    )


def _refuse_taken(number: str, line: str, taken: Sequence[ConcernRows]) -> None:
    there = next((one for one in taken if one.concern.line.upper() == line), None)
    if there is None:
        return
    free = f"{number}-{next_line({one.concern.line for one in taken})}"
    said = f"{ref_of(number, line)} is on file: “{there.concern.complaint[:80]}”."
    raise Conflict(
        f"{said} Another line of it: {free}.",
        fields={"ro_number": f"{free} is free", "line": f"{free} is free"},
        details={"line_on_file": {"id": there.concern.id, "free": free}},
    )
