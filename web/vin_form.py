"""The VIN as typed at intake: the last 8 of a known vehicle, slips of one character, other lengths."""

from __future__ import annotations

import re
from collections.abc import Sequence

from kb.desk.bay.concern import vehicles
from kb.desk.context import Desk
from kb.errors import BadInput
from kb.nouns.vehicles import Vehicle
from web import words
from web.forms import TypedForm

_VIN_LENGTH = 17


def vehicle_typed(desk: Desk, typed: TypedForm) -> Vehicle:
    """The vehicle as typed. Raises BadInput with what could be meant (`details["vins"]`)."""
    vin = re.sub(r"[\s-]", "", typed.text("vin_chosen") or typed.text("vin")).upper()
    year = typed.whole("year", "model year")
    if 4 <= len(vin) <= 8:
        vin = _by_ending(desk, vin)
    elif vin and not typed.text("vin_chosen") and not typed.ticked("vin_other"):
        _ask_back(desk, vin)
    if vin and len(vin) != _VIN_LENGTH and year is None:
        said = (
            f"This VIN has {len(vin)} characters; from model year 1981 on it has 17. "
            "Correct it, or give the model year of an older vehicle."
        )
        raise BadInput(said, fields={"vin": said, "year": "of an older vehicle"}, details={"length": True})
    return Vehicle(
        make=typed.text("make"),
        model=typed.text("model"),
        year=year,
        engine=typed.text("engine"),
        vin=vin,
    )


def _ask_back(desk: Desk, vin: str) -> None:
    alike = vehicles.look_alikes(desk, vin)
    if alike:
        said = f"A vehicle we know differs by one slip: {', '.join(one.vin for one in alike)}. Which is it?"
        raise BadInput(said, fields={"vin": said}, details={"vins": _choices(alike), "other": True})


def _by_ending(desk: Desk, ending: str) -> str:
    """The whole VIN of the one vehicle known by this ending."""
    found = vehicles.find_vehicles(desk, ending)
    if len(found) == 1:
        return found[0].vin
    if not found:
        said = f"No vehicle here has a VIN ending in {ending}. Enter all 17, or leave it empty."
        raise BadInput(said, fields={"vin": said})
    said = f"{len(found)} vehicles end in {ending}. Tap the one, or enter all 17."
    raise BadInput(said, fields={"vin": said}, details={"vins": _choices(found)})


def _choices(found: Sequence[Vehicle]) -> list[tuple[str, str]]:
    """(VIN, words) of each."""
    return [(one.vin, f"Use \u2026{one.vin[-8:]}? {words.vehicle(one)}") for one in found]
