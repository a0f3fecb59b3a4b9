"""Stops and notices that follow from the gates. A stop is lifted only by a named person with a reason."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from kb.desk.views import GateView
from kb.nouns.advice import StopInHand, StopKind
from kb.records.tables import StopLift

_STOPPING = {
    "battery": StopKind.BATTERY,
    "communicates": StopKind.NO_COMMUNICATION,
    "module_original": StopKind.MODULE_REPLACED,
    "stock_calibration": StopKind.AFTERMARKET_CALIBRATION,
}
OTHER_RECALL = "other"


def stops_of(gates: Iterable[GateView], lifts: Sequence[StopLift]) -> tuple[StopInHand, ...]:
    """One stop per gate at fault; an open recall stops only where it touches this module or concern."""
    lifted = {lift.stop: lift for lift in lifts}
    stops = []
    for gate in gates:
        kind = _kind(gate)
        if kind is None:
            continue
        lift = lifted.get(kind.value)
        detail = gate.value if gate.key != "recall_checked" else ""
        stops.append(StopInHand(kind, detail, lift.by if lift else "", lift.reason if lift else ""))
    return tuple(stops)


def notices_of(gates: Iterable[GateView]) -> tuple[str, ...]:
    """What must be seen but does not stop: recalls not checked or about something else, free coverage."""
    said = []
    for gate in gates:
        if gate.key == "recall_checked" and not gate.result:
            said.append("Recalls not checked for this VIN. Not checked never means clear.")
        if gate.key == "recall_checked" and gate.result == "fault" and gate.value == OTHER_RECALL:
            said.append("A recall about something else is open on this VIN. Tell the customer.")
        if gate.key == "warranty_checked" and not gate.result:
            said.append(
                "Free coverage not checked: warranty, emissions warranty, extended coverage, campaign."
            )
        if gate.key == "warranty_checked" and gate.result == "fault":
            said.append("This may be free at the dealer. Check before selling it.")
    return tuple(said)


def _kind(gate: GateView) -> StopKind | None:
    if gate.result != "fault":
        return None
    if gate.key == "recall_checked":
        return None if gate.value == OTHER_RECALL else StopKind.RECALL_OPEN
    return _STOPPING.get(gate.key)
