"""Vehicles as the shop knows them: read from a VIN, found by its ending, corrected."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.model_years import check_year
from kb.nouns.vehicles import Vehicle
from kb.records.store.bay import concerns as store
from kb.records.store.bay import writing
from kb.records.store.bay.other_concerns import vehicle_of
from kb.records.tables import VehicleRow
from kb.vehicle.decode import decode
from kb.vehicle.vin import VIN_LENGTH, check_vin, normalise

SHORTEST_ENDING = 4


@anyone_in_the_shop
def find_vehicles(desk: Desk, typed: str) -> tuple[Vehicle, ...]:
    """Vehicles known by a whole VIN or the end of one (people read the last 8); else what the VIN says."""
    ending = normalise(typed)
    if len(ending) < SHORTEST_ENDING:
        return ()
    known = store.vehicles_by_ending(desk.session, desk.shop.id, ending)
    if known or len(ending) != 17:
        return tuple(vehicle_of(row) for row in known)
    return (decode(ending, desk.today.year).vehicle,)


@anyone_in_the_shop
def look_alikes(desk: Desk, typed: str) -> tuple[Vehicle, ...]:
    """Known vehicles whose VIN is one character off the typed one, has one more or less, or two swapped.

    Empty where the typed VIN itself is known.
    """
    vin = normalise(typed)
    if len(vin) < VIN_LENGTH - 1 or store.vehicle_by_vin(desk.session, desk.shop.id, vin):
        return ()
    near = store.vehicles_like(desk.session, desk.shop.id, vin[:7], vin[-7:])
    return tuple(vehicle_of(row) for row in near if is_one_slip(vin, row.vin))[:4]


def is_one_slip(typed: str, known: str) -> bool:
    """One character replaced, left out or doubled, or two neighbors swapped."""
    if len(typed) == len(known):
        off = [place for place, (a, b) in enumerate(zip(typed, known, strict=True)) if a != b]
        neighbors = len(off) == 2 and off[1] == off[0] + 1
        swapped = neighbors and [typed[place] for place in off] == [known[place] for place in reversed(off)]
        return len(off) == 1 or swapped
    longer, shorter = sorted((typed, known), key=len, reverse=True)
    return any(longer[:place] + longer[place + 1 :] == shorter for place in range(len(longer)))


@dataclass(frozen=True, slots=True)
class VehicleRead:
    """A vehicle as it is to be kept, what a person should look at, and its row where its VIN is on file."""

    vehicle: Vehicle
    warnings: tuple[str, ...]
    known: VehicleRow | None = None


def read_vehicle(desk: Desk, said: Vehicle, *, confirmed: bool) -> VehicleRead:
    """The vehicle with its VIN checked and what the VIN says filled in; typed fields win.

    Raises BadInput for a VIN or model year that cannot be.
    """
    if said.year is not None:
        check_year(said.year, desk.today.year)
    reading = check_vin(said.vin, said.year, confirmed=confirmed, this_year=desk.today.year)
    if not reading.vin:
        return VehicleRead(replace(said, vin=""), reading.warnings)
    known = store.vehicle_by_vin(desk.session, desk.shop.id, reading.vin)
    filled = vehicle_of(known) if known else decode(reading.vin, desk.today.year, said.year).vehicle
    joined = replace(said, vin=reading.vin).or_else(filled).or_else(Vehicle(year=reading.year))
    return VehicleRead(joined, reading.warnings, known)


def as_on_file(read: VehicleRead) -> VehicleRead:
    """At opening what is on file of a VIN stands, and a warning says what was typed otherwise.

    Make, model and year may come from a search that was about another vehicle.
    """
    if read.known is None:
        return read
    filed = vehicle_of(read.known)
    kept = filed.or_else(read.vehicle)
    if kept.name.casefold() == read.vehicle.name.casefold():
        return replace(read, vehicle=kept)
    said = (
        f"This VIN is on file as {filed.name}, and that stands, not {_otherwise(read.vehicle, filed).name}. "
        "If the file is wrong, correct the vehicle on the concern."
    )
    return replace(read, vehicle=kept, warnings=(*read.warnings, said))


def _otherwise(said: Vehicle, filed: Vehicle) -> Vehicle:
    """What was said of a vehicle otherwise than the file has it, and nothing else."""
    both = {one.name: (getattr(said, one.name), getattr(filed, one.name)) for one in fields(Vehicle)}
    differs = {
        name: here for name, (here, there) in both.items() if str(here).casefold() != str(there).casefold()
    }
    return Vehicle(**differs)


def remember(desk: Desk, read: VehicleRead) -> int:
    """The id of the vehicle with this VIN, its new facts kept; without a VIN a vehicle of its own."""
    if read.known is None:
        return writing.add_vehicles(desk.session, desk.stamp(), [read.vehicle])[0]
    correct_vehicle(desk, read.known, read.vehicle)
    return read.known.id or 0


def correct_vehicle(desk: Desk, row: VehicleRow, vehicle: Vehicle) -> None:
    """Write what is now known over what was; an empty field changes nothing."""
    before = vehicle_of(row)
    now = vehicle.or_else(before)
    if now != before:
        row.sqlmodel_update(writing.columns(VehicleRow, now))
        row.version += 1
        desk.session.flush()
