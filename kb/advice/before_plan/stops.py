"""The gates as they stand, and the stops and notices that follow from them.

A stop is lifted only by a named person with a reason.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date

from kb.nouns.advice import StopInHand, StopKind
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.gates import FIRST_GATES, GATES, GateView
from kb.nouns.bay.on_file import Lift
from kb.nouns.recalls import RecallsOfConcern

_STOPPING = {
    "battery": StopKind.BATTERY,
    "communicates": StopKind.NO_COMMUNICATION,
    "module_original": StopKind.MODULE_REPLACED,
    "stock_calibration": StopKind.AFTERMARKET_CALIBRATION,
}
RECALL_GATE = "recall_checked"
_WHAT_IT_ASKS = {RECALL_GATE: "recalls", "warranty_checked": "free coverage"}
TOUCHING_RECALL, OTHER_RECALL = "touches", "other"
"""An open recall touches this module or concern (a stop), or is about something else (a notice)."""


def gates_of(file: ConcernFile, recalls: RecallsOfConcern) -> tuple[GateView, ...]:
    """Every gate as it stands; that of recalls follows from what was looked up.

    Those of a dead or silent vehicle stand here once they are settled.
    """
    said = {one.gate: one for one in file.gates_said}
    views = []
    for gate in (*GATES, *(gate for gate in FIRST_GATES if gate.key in said)):
        view = GateView(gate.key, gate.name, gate.question, gate.fine_word, gate.fault_word)
        if gate.key == RECALL_GATE:
            view = _recall_gate(view, recalls)
        elif one := said.get(gate.key):
            view = replace(view, result=one.result, value=one.value, by=one.by, on=one.on)
        views.append(view)
    return tuple(views)


def _recall_gate(gate: GateView, recalls: RecallsOfConcern) -> GateView:
    """The gate as the recalls looked up settle it: one that touches outweighs the others."""
    touching = tuple(one for one in recalls.open_ones if one.touches)
    said = touching or recalls.open_ones or recalls.recalls
    last = recalls.none_open or max(said, key=lambda one: one.on or date.min, default=None)
    if last is None or not recalls.gate:
        return gate
    numbers = tuple(one.number for one in said if one.is_open and one.number)
    value = "" if not recalls.open_ones else TOUCHING_RECALL if touching else OTHER_RECALL
    return replace(gate, result=recalls.gate, value=value, by=last.by, on=last.on, numbers=numbers)


def stops_of(gates: Iterable[GateView], lifts: Sequence[Lift]) -> tuple[StopInHand, ...]:
    """One stop per gate at fault; an open recall stops only where it touches this module or concern."""
    lifted = {lift.stop: lift for lift in lifts}
    stops = []
    for gate in gates:
        kind = _kind(gate)
        if kind is None:
            continue
        lift = lifted.get(kind.value)
        detail = gate.value if gate.key != RECALL_GATE else _named(gate)
        stops.append(StopInHand(kind, detail, lift.by if lift else "", lift.reason if lift else ""))
    return tuple(stops)


def not_checked(gates: Iterable[GateView]) -> str:
    """What nobody looked up for this VIN, such as "recalls and free coverage"; empty where all was."""
    return " and ".join(
        _WHAT_IT_ASKS[gate.key] for gate in gates if gate.key in _WHAT_IT_ASKS and not gate.result
    )


def not_checked_said(named: str) -> str:
    """The sentence for what `not_checked` names; empty for nothing."""
    if not named:
        return ""
    return f"{named[0].upper()}{named[1:]} not checked for this VIN. Not checked never means clear."


def notices_of(gates: Iterable[GateView]) -> tuple[str, ...]:
    """What must be seen but does not stop: recalls not checked or about something else, free coverage."""
    gates = tuple(gates)
    said = [one for one in (not_checked_said(not_checked(gates)),) if one]
    for gate in gates:
        if gate.key == RECALL_GATE and gate.result == "fault" and gate.value == OTHER_RECALL:
            other = "A recall about something else is open on this VIN."
            said.append(" ".join(filter(None, (other, _named(gate), "Tell the customer."))))
        if gate.key == "warranty_checked" and gate.result == "fault":
            said.append("This may be free at the dealer. Check before selling it.")
    return tuple(said)


def _named(gate: GateView) -> str:
    return f"Open: {', '.join(gate.numbers)}." if gate.numbers else ""


def _kind(gate: GateView) -> StopKind | None:
    if gate.result != "fault":
        return None
    if gate.key == RECALL_GATE:
        return None if gate.value == OTHER_RECALL else StopKind.RECALL_OPEN
    return _STOPPING.get(gate.key)
