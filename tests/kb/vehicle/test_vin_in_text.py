"""The VINs are the published worked example of the check digit, 49 CFR 565.15, and slips of it."""

from __future__ import annotations

import pytest

from kb.nouns.vehicles import Vehicle
from kb.vehicle.vin_in_text import vehicle_of_vin

VIN = "1M8GDM9AXKP042788"


def test_a_vin_among_other_words_tells_the_vehicle() -> None:
    text = f"air leak, vin {VIN.lower()} stalls"
    read = vehicle_of_vin(text, Vehicle(), 2026)
    assert read is not None
    assert (read.vehicle.year, read.vehicle.vin, read.words) == (1989, VIN, (VIN.lower(),))
    assert read.rest_of(text).split() == ["air", "leak,", "vin", "stalls"]


@pytest.mark.parametrize(
    "text", ["", "stalls", "1M8GDM9A5KP042788", VIN[:16], VIN + "0", "part 1M8GDM9AXKP04278O"]
)
def test_what_is_no_right_vin_tells_nothing(text: str) -> None:
    assert vehicle_of_vin(text, Vehicle(), 2026) is None


def test_what_was_filled_in_stands() -> None:
    assert vehicle_of_vin(VIN, Vehicle("Tarn"), 2026) is None
    read = vehicle_of_vin(VIN, Vehicle("", "Coach", 1990), 2026)
    assert read is not None
    assert (read.vehicle.model, read.vehicle.year) == ("Coach", 1990)


def test_a_make_filled_in_by_another_of_its_names_is_the_vin_s() -> None:
    """A VIN that VIN tables give to VOLVO TRUCK; recall 23V689 (NHTSA recall communications) says VOLVO."""
    read = vehicle_of_vin("4V4NC9EH6RN600123", Vehicle("Volvo Trucks"), 2026)
    assert read is not None
    assert (read.vehicle.make, read.vehicle.model, read.vehicle.year) == ("Volvo Trucks", "VNL", 2024)


def test_what_was_recorded_of_a_vehicle_tells_more_than_its_vin_whatever_its_check_digit() -> None:
    odd = "1M8GDM9A5KP042788"
    recorded = Vehicle("Tarn", "Coach", 1990, "6.0", vin=odd)
    read = vehicle_of_vin(f"{odd} stalls", Vehicle(), 2026, {odd: recorded})
    assert read is not None
    assert read.vehicle == recorded
    filled_in = vehicle_of_vin(f"{odd} stalls", Vehicle(model="Van"), 2026, {odd: recorded})
    assert filled_in is not None
    assert filled_in.vehicle.name == "1990 Tarn Van 6.0"
    assert vehicle_of_vin(odd, Vehicle("Orsel"), 2026, {odd: recorded}) is None
