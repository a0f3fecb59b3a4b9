"""The vehicle of a whole VIN that stands in a text."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from kb.nouns.vehicles import Vehicle
from kb.vehicle.decode import decode
from kb.vehicle.makes import folded_make
from kb.vehicle.read_vehicle import ReadVehicle
from kb.vehicle.vin import check_digit

VIN_SHAPED = r"(?<![A-Za-z0-9])(?=[A-Za-z]*[0-9])[A-HJ-NPR-Za-hj-npr-z0-9]{17}(?![A-Za-z0-9])"
"""17 of the letters and digits of a VIN, a digit among them, with none beside them: "VIN_" may be."""
_VIN = re.compile(VIN_SHAPED)
NOTHING_RECORDED: Mapping[str, Vehicle] = MappingProxyType({})


def vins_in(text: str) -> tuple[str, ...]:
    """What is written like a whole VIN, in capitals, in the order in which it stands there."""
    return tuple(dict.fromkeys(found[0].upper() for found in _VIN.finditer(text)))


def vehicle_of_vin(
    text: str, known: Vehicle, this_year: int, recorded: Mapping[str, Vehicle] = NOTHING_RECORDED
) -> ReadVehicle | None:
    """What the first VIN that was `recorded`, or has its right check digit, says of a vehicle; None where
    there is none, or where it is of another make than was filled in. What was filled in stands, then what
    was recorded of the vehicle.
    """
    for found in _VIN.finditer(text):
        vin = found[0].upper()
        if vin not in recorded and vin[8] != check_digit(vin):
            continue
        told = recorded.get(vin, Vehicle()).or_else(decode(vin, this_year, known.year).vehicle)
        if known.make and told.make and folded_make(known.make) != folded_make(told.make):
            return None
        vehicle = replace(known, vin=vin).or_else(told)
        return ReadVehicle(vehicle, (found[0],), ((found.start(), found.end()),))
    return None
