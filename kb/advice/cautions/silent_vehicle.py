"""A vehicle that is dead or does not talk: what a technician settles before anything that needs a module.

Decided from the concepts of the words, as the search reads them, and from the gates settled so far. Order
and steps are common practice, no source; the manufacturer's instructions decide.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.first_steps import FoundCause, ToSettle
from kb.nouns.bay.gates import FIRST_GATES, GATES, Gate, GateView
from kb.nouns.concerns import CodesScanned
from kb.nouns.vehicles import CalibrationSource

_BY_KEY = {gate.key: gate for gate in (*GATES, *FIRST_GATES)}
_POWER = ("support_on", "codes_saved", "battery", "power_ground", "add_ons_out")
_VEHICLE_SILENT = (
    *("support_on", "codes_saved", "battery", "port_fuse", "power_ground", "add_ons_out"),
    *("gateway", "other_car"),
)
_STOP_START = ("battery_type", "battery_registered", "sensor_learned")
_HYBRID = frozenset({"ev", "hv_battery", "ev_shutdown", "inverter", "bms"})
_TALKED = frozenset({CodesScanned.STORED, CodesScanned.NONE_STORED})
_NOT_READY = frozenset({"no_start", "ev_shutdown"})


def first_gates(said: Collection[str], gates: Mapping[str, str], *, scanned: bool) -> tuple[str, ...]:
    """Keys of what comes first, in order. `said` are concepts, `gates` results by key, and `scanned` says
    that some module answered the tool already.
    """
    module_silent = gates.get("communicates") == "fault"
    answers = scanned or "fine" in (gates.get("communicates"), gates.get("calibration_read"))
    if not answers and (module_silent or "communication" in said):
        return _VEHICLE_SILENT
    dead = "no_crank" in said or ("battery_dead" in said and not _NOT_READY.isdisjoint(said))
    if module_silent or dead:
        return _POWER
    return _STOP_START if {"auto_stop", "battery_swap"} <= set(said) else ()


def to_settle(
    said: Collection[str], gates: Mapping[str, str], *, scanned: bool, make: str
) -> tuple[ToSettle, ...]:
    """What is still to be settled of it, in order; a gate that is settled, either way, is done."""
    hybrid = not _HYBRID.isdisjoint(said)
    open_ones = [key for key in first_gates(said, gates, scanned=scanned) if not gates.get(key)]
    return tuple(_step(_BY_KEY[key], make, hybrid=hybrid) for key in open_ones)


def faults_of(gates: Iterable[GateView]) -> tuple[FoundCause, ...]:
    """Of these gates the ones at fault that have a repair."""
    return tuple(
        FoundCause(gate.key, f"{gate.name}: {gate.fault_word}", known.cause, known.repair)
        for gate in gates
        if gate.result == "fault" and (known := _BY_KEY[gate.key]).repair
    )


def talked(file: ConcernFile) -> bool:
    """Whether some module answered the tool on this visit."""
    read = any(one.source is CalibrationSource.READ for one in file.readings)
    return read or file.codes_scanned in _TALKED


def _step(gate: Gate, make: str, *, hybrid: bool) -> ToSettle:
    text = gate.name
    if gate.key == "support_on" and hybrid:
        text = f"{gate.name} at the printed jump points; a hybrid is never a donor"
    if gate.key == "gateway" and make:
        text = f"Register the tool at {make}'s gateway"
    return ToSettle(text, gate.key, gate.fine_word, gate.fault_word, float(gate.minutes))
