"""The gates: what must be settled before a reflash, and what comes first of a dead or silent vehicle.

Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from kb.nouns.starting_checks import SOURCE


class Replacement(StrEnum):
    """What a replaced module is; the gate's value says it."""

    NEW = "new"
    REMANUFACTURED = "remanufactured"
    USED = "used"


@dataclass(frozen=True, slots=True)
class Gate:
    """Something that must be settled before a reflash. Never evidence for or against an update.

    `repair` is what to do where it is at fault, and `cause` what is wrong then, in words.
    """

    key: str
    name: str
    question: str
    fine_word: str
    fault_word: str
    minutes: int
    repair: str = ""
    cause: str = ""
    source: str = SOURCE


@dataclass(frozen=True, slots=True)
class GateView:
    """A gate as it stands on one concern; `result` is fine, fault or empty (not settled).

    `numbers` are those of open recalls, of the recall gate only.
    """

    key: str
    name: str
    question: str
    fine_word: str
    fault_word: str
    result: str = ""
    value: str = ""
    by: str = ""
    on: date | None = None
    numbers: tuple[str, ...] = ()


GATES: tuple[Gate, ...] = (
    Gate("battery", "Test battery and charging", "Do battery and charging pass?", "PASS", "FAULT", 8),
    Gate("calibration_read", "Read calibration IDs", "Is the calibration ID read?", "READ", "CAN'T READ", 5),
    Gate(
        "codes_saved", "Save codes and freeze frame", "Are codes and freeze frame saved?", "SAVED", "LOST", 4
    ),
    Gate(
        "recall_checked",
        "Check the VIN for recalls",
        "Is no open recall on this VIN that touches it?",
        "NONE OPEN",
        "OPEN",
        4,
    ),
    Gate(
        "warranty_checked",
        "Check for free coverage",
        "Is no free coverage left for this?",
        "NONE",
        "MAY APPLY",
        4,
    ),
    Gate(
        "module_original",
        "Check the module is original",
        "Is the module original?",
        "ORIGINAL",
        "REPLACED",
        3,
    ),
    Gate("stock_calibration", "Check for a tune", "Is the calibration stock?", "STOCK", "AFTERMARKET", 3),
    Gate("communicates", "Talk to the module", "Does the module communicate?", "ANSWERS", "SILENT", 2),
)

FIRST_GATES: tuple[Gate, ...] = (
    Gate("support_on", "Put a support unit on", "Is a support unit on?", "ON", "NONE HERE", 5),
    Gate(
        "port_fuse",
        "Check the diagnostic port's fuse",
        "Is the port's fuse good?",
        "GOOD",
        "BLOWN",
        5,
        "Find why the fuse blew, repair it",
        "blown fuse of the diagnostic port",
    ),
    Gate(
        "power_ground",
        "Load-test power and ground of port and module",
        "Are power and ground good?",
        "GOOD",
        "BAD",
        10,
        "Repair the feed or ground",
        "bad power or ground of port or module",
    ),
    Gate(
        "add_ons_out",
        "Take add-ons and plugged-in devices out",
        "Is it the same without add-ons?",
        "SAME WITHOUT",
        "IT WAS THAT",
        5,
        "Leave the add-on out, or have it fitted right",
        "add-on device",
    ),
    Gate(
        "gateway",
        "Register the tool at this make's gateway",
        "Is the tool registered there?",
        "DONE OR NONE",
        "NOT YET",
        10,
    ),
    Gate(
        "other_car",
        "Try the same tool on another car",
        "Does the tool talk to another car?",
        "TALKS",
        "SILENT TOO",
        5,
        "Put the tool right: cable, software, registration",
        "the tool, not the vehicle",
    ),
    Gate(
        "battery_type",
        "Read the type on the battery's label",
        "Is it the type that the maker asks for?",
        "RIGHT",
        "WRONG",
        3,
        "Fit a battery of the right type",
        "battery of the wrong type",
    ),
    Gate(
        "battery_registered",
        "Register the battery or reset its age",
        "Is it registered, or its age reset?",
        "DONE OR NONE",
        "CAN'T",
        8,
    ),
    Gate(
        "sensor_learned",
        "Let the battery sensor learn, as printed",
        "Has the battery sensor learned?",
        "LEARNED",
        "NOT YET",
        10,
    ),
)
"""What is settled first of a vehicle that is dead or silent, or whose stop-start quit after a battery."""
