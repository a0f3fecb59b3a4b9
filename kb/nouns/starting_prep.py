"""What every preparation starts with, before the bulletin's and the manufacturer's own lines.

Common practice, no source. The manufacturer's instructions for the module win over every line here.
"""

from __future__ import annotations

from dataclasses import dataclass

BATTERY_RESTED, SUPPORT_VOLTAGE = "battery_rested", "support_voltage"
INSPECTION = "inspect-"
"""Begins the key of the line on what a note's inspection found; the note's id follows."""


@dataclass(frozen=True, slots=True)
class StartingPrep:
    """One line. With a `unit` a value is measured and entered; `place` is where a person stands.

    The keys of measured lines are names of `kb.prep.limits.Thing`. Ripple is asked for only where it is
    printed, or where no support unit of the shop is marked clean.
    """

    key: str
    place: str
    text: str
    unit: str = ""


STARTING_PREP: tuple[StartingPrep, ...] = (
    StartingPrep(
        "support_unit", "battery", "Battery support unit connected: a clean power supply, never a charger"
    ),
    StartingPrep(
        BATTERY_RESTED,
        "battery",
        "Battery rested, support off: passes its test; under 12.4 V charge first",
        "V",
    ),
    StartingPrep(
        SUPPORT_VOLTAGE,
        "battery",
        "Support on, key as printed: voltage at the posts by meter, not the unit's display",
        "V",
    ),
    StartingPrep("ripple", "battery", "Ripple of the support unit, peak to peak at the posts", "mV"),
    StartingPrep("loads_off", "battery", "Big loads off: lamps, blower, heated glass and seats"),
    StartingPrep(
        "charge_cable", "battery", "Charge cable out, unless the manufacturer asks for it (hybrid, electric)"
    ),
    StartingPrep(
        "as_printed", "cabin", "Hood, doors, keys and temperature as printed, even where no reason is given"
    ),
    StartingPrep("chocked", "cabin", "Wheels chocked, parking brake set"),
    StartingPrep("add_ons_out", "cabin", "Add-ons and other scan tools unplugged"),
    StartingPrep("all_keys", "cabin", "All keys are here, if the manufacturer asks for them"),
    StartingPrep("enough_time", "cabin", "Enough time left before closing"),
    StartingPrep("wall_power", "computer", "Computer on wall power; sleep, updates and VPN off"),
    StartingPrep("internet", "computer", "Internet by cable, or strong and steady"),
    StartingPrep("ids_saved", "computer", "Calibration IDs, CVNs, codes and freeze frame saved"),
    StartingPrep("inspection", "computer", "State inspection due? Monitors will be reset: tell the customer"),
)
