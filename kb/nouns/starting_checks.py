"""The checks and gates that a new shop starts with.

Every question, minute and count here is common practice, no source: a guess to start from, editable by
the lead and shown as a guess until the shop's own closed concerns have counted.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from kb.nouns.bay.measures import Decides, Measure, YesWhen

SOURCE = "common practice, no source"


class System(StrEnum):
    """Which concerns a check is for; `all` asks nothing, `note` only that of the notes it is attached to."""

    ALL = "all"
    ENGINE = "engine"
    TRANSMISSION = "transmission"
    BODY = "body"
    NETWORK = "network"
    HYBRID = "hybrid"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class StartingCheck:
    """A check as a new shop gets it.

    `name` is what to do, for the button; `yes_word` and `no_word` are its own two results. `minutes` is
    work, `wait_minutes` time that passes without work. `needs` lists what must be at hand, `repair`
    what to do where its result against an update names a fault, which `cause` says in words. Checks of one
    `group` tell much the same. The last two fields guess how many of 10 concerns say yes: of those that an
    update cured, and of those that it did not. `measure`: how a number decides it, where one does.
    """

    key: str
    system: System
    name: str
    question: str
    yes_word: str
    no_word: str
    minutes: int
    yes_in_10_cured: float
    yes_in_10_not: float
    wait_minutes: int = 0
    needs: tuple[str, ...] = ()
    group: str = ""
    caution: str = ""
    repair: str = ""
    cause: str = ""
    source: str = SOURCE
    measure: Measure | None = None


NO_IGNITION_SOURCE = "No ignition source near fuel vapor."
SAVE_FIRST = "Save freeze frame, permanent codes and IDs before disconnecting the battery."
COVERS_ON = "Scan data only. High-voltage covers stay on; trained people only."

# One check in two or three lines reads as the table it is; the formatter would make 350 lines of it.
# fmt: off
STARTING_CHECKS: tuple[StartingCheck, ...] = (
    StartingCheck("bulletin_conditions", System.ALL, "Drive it under the bulletin's conditions",
        "Does it act up under the conditions that the bulletin lists?",
        "ACTS UP", "DOESN'T", 20, 8, 4, needs=("road",)),
    StartingCheck("unnamed_code", System.ALL, "Compare codes with the bulletin",
        "Is there a current code that the bulletin does not name?",
        "OTHER CODE", "NONE", 6, 2, 5, group="codes"),
    StartingCheck("began_after_event", System.ALL, "Ask what happened just before",
        "Did it begin right after a repair, crash, jump start, water or an add-on?",
        "RIGHT AFTER", "ON ITS OWN", 4, 1, 4, group="history of the vehicle"),
    StartingCheck("wiggle_test", System.ALL, "Wiggle harness and connectors",
        "Does wiggling the harness or its connectors change it?",
        "CHANGES", "STEADY", 15, 1, 3,
        repair="Repair the harness or connector that changes it",
        cause="bad contact in the harness or a connector"),
    StartingCheck("voltage_drop", System.ALL, "Load-test module feeds and grounds",
        "Is the loaded drop over 0.2 V on the module's feeds or over 0.1 V on its grounds?",
        "TOO HIGH", "GOOD", 15, 1, 3, group="supply voltage",
        repair="Repair the feed or ground", cause="voltage drop on a feed or ground of the module",
        measure=Measure("V", limit=0.2, between=0.1, least=0, most=30,
            left_open="Over 0.1 V is too high on a ground, not yet on a feed.")),
    StartingCheck("like_vehicle", System.ALL, "Drive a like vehicle",
        "Does a like vehicle without the complaint do the same?",
        "SAME", "DIFFERENT", 20, 5, 2, needs=("like vehicle", "road"), group="history of the vehicle"),
    StartingCheck("fuel_trim", System.ENGINE, "Read fuel trim warm",
        "Is total fuel trim over +10% at warm idle, falling near 0 at 2,500 rpm?",
        "OVER +10%", "NORMAL", 6, 2, 5, group="unmetered air",
        measure=Measure("%", limit=10, decides=Decides.NO, least=-100, most=100,
            left_open="Over +10% at warm idle counts only if it falls near 0 at 2,500 rpm: look, then tap.")),
    StartingCheck("smoke_test", System.ENGINE, "Smoke-test the intake",
        "Does the intake or crankcase ventilation leak smoke?",
        "LEAKS", "TIGHT", 12, 1, 4, needs=("smoke machine",), group="unmetered air",
        caution=NO_IGNITION_SOURCE,
        repair="Repair the leak", cause="leak in the intake or crankcase ventilation"),
    StartingCheck("fuel_pressure", System.ENGINE, "Check fuel pressure under load",
        "Is fuel pressure below specification under load?",
        "LOW", "IN SPEC", 20, 1, 3, caution=NO_IGNITION_SOURCE,
        repair="Find and repair why fuel pressure is low", cause="low fuel pressure under load",
        measure=Measure("psi", YesWhen.UNDER, least=0, most=40_000,
            left_open="The specification is the manufacturer's: hold it against that, then tap.")),
    StartingCheck("misfire_stays", System.ENGINE, "Swap coil or plug and watch the misfire",
        "Does the misfire stay on one cylinder or follow a swapped coil or plug?",
        "STAYS/FOLLOWS", "WANDERS", 15, 1, 5,
        repair="Repair what the misfire stays with or follows",
        cause="misfire that stays on one cylinder or follows a coil or plug"),
    StartingCheck("relative_compression", System.ENGINE, "Run relative compression",
        "Is relative compression uneven?",
        "UNEVEN", "EVEN", 10, 1, 3, needs=("amp clamp",),
        repair="Find and repair why compression is uneven", cause="uneven compression"),
    StartingCheck("engine_oil", System.ENGINE, "Check oil level and grade",
        "Is the oil low, the wrong grade or overdue?",
        "BAD OIL", "OIL OK", 5, 1, 3,
        repair="Put level and grade of the oil right", cause="engine oil low, wrong grade or overdue"),
    StartingCheck("purge_valve", System.ENGINE, "Command the purge valve closed",
        "Does the purge valve flow when commanded closed?",
        "FLOWS", "SEALS", 6, 1, 3, group="unmetered air",
        caution=NO_IGNITION_SOURCE,
        repair="Replace the purge valve", cause="purge valve that does not seal"),
    StartingCheck("cold_soak_sensors", System.ENGINE, "Compare sensors after a night's soak",
        "After a night's soak, do coolant, intake and ambient differ by over 10 °F?",
        "DIFFER", "AGREE", 4, 1, 2, wait_minutes=600, needs=("cold engine",),
        repair="Replace the sensor that reads off", cause="temperature sensor that reads off",
        measure=Measure("°F", limit=10, least=0, most=400)),
    StartingCheck("transmission_fluid", System.TRANSMISSION, "Check transmission fluid",
        "Is the fluid low, burnt or the wrong type?",
        "BAD FLUID", "FLUID OK", 15, 1, 4, needs=("lift", "engine running"), group="slip and fluid",
        repair="Put the fluid right", cause="transmission fluid low, burnt or the wrong type"),
    StartingCheck("converter_slip", System.TRANSMISSION, "Measure converter slip locked",
        "Is slip over 100 rpm with the converter commanded fully locked?",
        "SLIPS", "HOLDS", 15, 2, 6, needs=("road",), group="slip and fluid",
        measure=Measure("rpm", limit=100, least=-8000, most=8000)),
    StartingCheck("shift_adaptives", System.TRANSMISSION, "Read shift adaptives",
        "Are the shift adaptives at their limit?",
        "AT LIMIT", "IN RANGE", 8, 3, 6, group="slip and fluid"),
    StartingCheck("same_shift", System.TRANSMISSION, "Repeat the shift at one temperature",
        "Is it the same shift at the same temperature every time?",
        "SAME SHIFT", "VARIES", 20, 7, 4, needs=("road",)),
    StartingCheck("key_off_draw", System.BODY, "Pull fuses on key-off draw",
        "Does a key-off draw over 50 mA drop only at the bulletin module's fuse?",
        "ONLY THERE", "ELSEWHERE", 45, 7, 2,
        repair="Repair what draws at that other fuse", cause="key-off draw on another fuse",
        measure=Measure("mA", YesWhen.UNDER, limit=50, decides=Decides.NO, least=0, most=100_000,
            left_open="The draw left with that fuse out. Under 50 mA counts only if it was over 50 before.")),
    StartingCheck("corrosion", System.BODY, "Look for water and corrosion",
        "Is there water or green corrosion at the module or fuse box?",
        "CORRODED", "DRY", 8, 1, 3, group="history of the vehicle",
        repair="Stop the water and repair what is corroded",
        cause="water or corrosion at the module or fuse box"),
    StartingCheck("add_on", System.BODY, "Look for add-ons",
        "Is an add-on alarm, starter, tracker, stereo or port dongle present?",
        "ADD-ON", "STOCK", 5, 1, 4, group="history of the vehicle",
        repair="Take the add-on out, or have it fitted right", cause="add-on device"),
    StartingCheck("bus_resistance", System.NETWORK, "Measure bus resistance",
        "Are there about 60 ohms on that bus with the battery disconnected?",
        "ABOUT 60", "NOT 60", 10, 9, 6, caution=SAVE_FIRST,
        repair="Repair the bus", cause="bus resistance not about 60 ohms",
        measure=Measure("ohms", YesWhen.WITHIN, limit=55, upper=65, between=5, least=0, most=100_000_000,
            left_open="Near 60, not at it: take off what the meter's leads read alone, and measure again.")),
    StartingCheck("low_voltage_codes", System.NETWORK, "Sort lost-communication codes",
        "Are there lost-communication codes from several modules together with low-voltage codes?",
        "BOTH", "NOT BOTH", 5, 2, 5, group="supply voltage",
        repair="Repair battery, charging or grounds", cause="low voltage: battery, charging or grounds"),
    StartingCheck("block_spread", System.HYBRID, "Watch block voltages under load",
        "Do block voltages spread past specification under load?",
        "SPREAD", "TOGETHER", 12, 1, 5, needs=("road",), caution=COVERS_ON,
        repair="Leave the drive battery to trained people", cause="drive battery: block voltages spread",
        measure=Measure("V", least=0, most=500,
            left_open="How far they may spread is the manufacturer's: hold it against that, then tap.")),
    StartingCheck("cooling_flow", System.HYBRID, "Check battery fan and coolant flow",
        "Does the battery fan or filter, or the inverter coolant, flow poorly?",
        "POOR", "FLOWS", 10, 1, 4, caution=COVERS_ON,
        repair="Clean or repair the fan, filter or coolant flow",
        cause="poor flow of battery fan, filter or inverter coolant"),
)
# fmt: on

CAUSES = MappingProxyType({(one.key, one.repair): one.cause for one in STARTING_CHECKS if one.cause})
"""What is wrong, in words, by a check's key and what repairs it: another repair is another cause."""
