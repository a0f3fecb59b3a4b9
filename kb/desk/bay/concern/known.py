"""What the shop knows already of a vehicle, as proposals: whoever takes one saves it."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.bay.concern_file import ConcernFile, ref_of
from kb.nouns.bay.known import KnownFrom, KnownId, KnownOfVin
from kb.nouns.days import day_words
from kb.nouns.vehicles import Vehicle
from kb.prep import known_ids
from kb.records.store.bay import concerns as concern_store
from kb.records.store.bay import known as store
from kb.records.store.bay.known import LookedUp
from kb.vehicle.decode import decode
from kb.vehicle.vin import VIN_LENGTH, normalise
from kb.vehicle.vin_prefix import DESCRIBES, known_of


@anyone_in_the_shop
def known_ids_of(desk: Desk, concern_id: int) -> tuple[KnownId, ...]:
    """IDs that nobody read on this concern yet: still in it by our records, and looked up on a like vehicle
    in the last 90 days. Raises NotFound.
    """
    file = read_concern(desk, concern_id)
    return (*known_ids.still_in(file), *_looked_up_on_like(desk, file))


@anyone_in_the_shop
def known_of_vin(desk: Desk, typed: str) -> KnownOfVin | None:
    """Make, model and engine by the beginning of a VIN, where a vehicle alike was here, else by the VIN
    itself; None where neither says the make, or the VIN is on file, which says more.
    """
    vin = normalise(typed)
    if len(vin) != VIN_LENGTH or concern_store.vehicle_by_vin(desk.session, desk.shop.id, vin):
        return None
    own = decode(vin, desk.today.year).vehicle
    alike = known_of(vin, store.beginning_with(desk.session, desk.shop.id, vin[:DESCRIBES]))
    if alike:
        return replace(alike, year=own.year)
    return KnownOfVin(own.make, own.model, own.engine, "", 0, own.year) if own.make else None


def _looked_up_on_like(desk: Desk, file: ConcernFile) -> tuple[KnownId, ...]:
    car = file.vehicle
    if not (car.make and car.model and car.year):
        return ()
    since = desk.today - timedelta(days=known_ids.LOOKED_UP_DAYS)
    named = desk.once(
        ("looked up on like", file.id),
        lambda: store.looked_up_on_like(desk.session, desk.shop.id, car, file.vehicle_id, since),
    )
    return known_ids.looked_up_on_like(file, [_known(one, car) for one in named], desk.today)


def _known(one: LookedUp, car: Vehicle) -> KnownId:
    like = " ".join(str(said) for said in (car.year, car.make, car.model) if said)
    where = f"on another {like} ({ref_of(one.ro_number, one.line)})"
    said = f"{one.newest_id} is the newest for the {one.module} that {one.by} looked up {where}"
    return KnownId(
        KnownFrom.LIKE_VEHICLE,
        one.module,
        one.newest_id,
        "",
        one.looked_up_on,
        one.by,
        f"{said} on {day_words(one.looked_up_on)}.",
    )
