"""What is settled first of a vehicle that is dead or does not talk, and the faults that were found so."""

from __future__ import annotations

from collections.abc import Iterable

from kb.advice.cautions import silent_vehicle
from kb.desk.bay.advice.candidates import said_on
from kb.desk.bay.advice.remembered import remembered
from kb.desk.bay.concern.views import GateView
from kb.desk.bay.search import search_memory
from kb.desk.context import Desk
from kb.nouns.concerns import CodesScanned
from kb.nouns.first_steps import FoundCause, ToSettle
from kb.nouns.gates import FIRST_GATES
from kb.nouns.vehicles import CalibrationSource
from kb.records.store.bay import case as store
from kb.records.store.bay.concerns import ConcernOnFile

_TALKED = frozenset({CodesScanned.STORED.value, CodesScanned.NONE_STORED.value})
_REPAIRS = {gate.key: gate.repair for gate in FIRST_GATES}


def to_settle(desk: Desk, held: ConcernOnFile, gates: Iterable[GateView]) -> tuple[ToSettle, ...]:
    """By the words of the concern, what was done just before, and the gates settled so far."""
    said, settled = _concepts(desk, held), {gate.key: gate.result for gate in gates}
    return silent_vehicle.to_settle(said, settled, scanned=_talked(desk, held), make=held.vehicle.make)


def faults_of(gates: Iterable[GateView]) -> tuple[FoundCause, ...]:
    """Of these gates the ones at fault, as the cause reads."""
    return tuple(
        FoundCause(gate.key, f"{gate.name}: {gate.fault_word}", _REPAIRS[gate.key])
        for gate in gates
        if gate.result == "fault" and _REPAIRS.get(gate.key)
    )


def _talked(desk: Desk, held: ConcernOnFile) -> bool:
    """Whether some module answered the tool on this visit."""
    rows = store.calibrations(desk.session, held.concern.id or 0)
    return held.concern.codes_scanned in _TALKED or any(
        row.source == CalibrationSource.READ.value for row in rows
    )


def _concepts(desk: Desk, held: ConcernOnFile) -> frozenset[str]:
    def read() -> frozenset[str]:
        text = f"{said_on(desk, held).text}. {held.concern.just_before}"
        return search_memory.index(desk, (search_memory.UPDATE,)).meaning(text).concepts

    return remembered(desk, held, "concepts", read)
