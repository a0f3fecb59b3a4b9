"""Facts of a vehicle in the bay: calibrations read, look-ups by VIN, gates settled, codes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from kb.advice.before_plan.stops import OTHER_RECALL, RECALL_GATE
from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.bay.concern import readings, recalls
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput
from kb.nouns.bay.gates import FIRST_GATES, GATES
from kb.nouns.bay.readings import codes_seen, with_seen
from kb.nouns.bay.readings import scanned as scan_values
from kb.nouns.concerns import CodesScanned, ReportedCode
from kb.nouns.days import day_words
from kb.nouns.read_values import ReadKind, ReadValue, values_of
from kb.nouns.vehicles import CalibrationReading, LookUp, fold_id
from kb.records.store.bay import case as store
from kb.records.store.bay import concerns as concern_store
from kb.records.tables import Gate, LookUpRow
from kb.vehicle.codes import parse_codes
from kb.vehicle.lineage import last_readings

GATE_RESULTS = ("fine", "fault", "")


@anyone_in_the_shop
def put_calibration(desk: Desk, concern_id: int, reading: CalibrationReading) -> None:
    """Record the numbers of one module; earlier readings of the module are kept, the last counts.

    Without a moment it is of the one that the work is at: after, once the module was programmed.
    """
    file = read_concern(desk, concern_id)
    module = reading.module.strip().upper()
    wrong = {}
    if not module:
        wrong["module"] = "Name the module, such as PCM."
    if not all(one.calibration_id.strip() for one in reading.ids):
        wrong["calibration_id"] = "Enter the calibration ID exactly as the module shows it."
    if wrong:
        raise BadInput(" ".join(wrong.values()), fields=wrong)
    readings.keep(desk, concern_id, [readings.taken_now(desk, file, values_of(reading), reading.moment)])
    ids = " ".join(one.calibration_id.strip() for one in reading.ids)
    desk.note_down("read calibration", "concern", concern_id, module=module, id=ids)


@anyone_in_the_shop
def put_not_readable(desk: Desk, concern_id: int, module: str, why: str) -> None:
    """Record that a module gave nothing. What was read of it before still counts, and nothing is proven."""
    file, name = read_concern(desk, concern_id), module.strip().upper()
    if not name:
        raise BadInput("Name the module, such as PCM.", fields={"module": "empty"})
    value = ReadValue(ReadKind.NOT_READABLE, why.strip() or "not readable", name)
    readings.keep(desk, concern_id, [readings.taken_now(desk, file, [value])])
    desk.note_down("could not read", "concern", concern_id, module=name, why=value.value)


@anyone_in_the_shop
def put_look_up(desk: Desk, concern_id: int, look_up: LookUp) -> None:
    """Record what the manufacturer's look-up by VIN said. It decides over the shop's own file."""
    held = concerns_desk.on_file(desk, concern_id)
    if look_up.looked_up_on > desk.today:
        raise BadInput(
            f"A look-up on {day_words(look_up.looked_up_on)} lies in the future. Enter the day it was made.",
            fields={"looked_up_on": "in the future"},
        )
    if not look_up.newest_id.strip() and not look_up.nothing_newer:
        raise BadInput(
            "Enter the newest calibration ID the manufacturer offers, or say that nothing is newer.",
            fields={"newest_id": "empty"},
        )
    if look_up.nothing_newer:
        _confirmed_first(desk, concern_id, look_up.module)
    row = {
        "concern_id": concern_id,
        "vehicle_id": held.repair_order.vehicle_id,
        "module": look_up.module.strip().upper(),
        "looked_up_on": look_up.looked_up_on,
        "by": look_up.by or desk.actor.name,
        "newest_id": look_up.newest_id.strip(),
        "nothing_newer": look_up.nothing_newer,
    }
    store.insert_rows(desk.session, LookUpRow, [row])
    said = {"module": row["module"], "newest": row["newest_id"]}
    desk.note_down("looked up by VIN", "concern", concern_id, **said)


def _confirmed_first(desk: Desk, concern_id: int, module: str) -> None:
    """Nothing newer than a mistyped ID says nothing: the ID is confirmed before the look-up is taken."""
    reading = last_readings(read_concern(desk, concern_id).readings).get(fold_id(module))
    if reading is not None and reading.waits_to_be_confirmed:
        raise BadInput(
            f"{reading.module} {reading.calibration_id} is not confirmed: nobody read it from the vehicle. "
            "Read it again and confirm it first, then save the look-up.",
            fields={"module": "confirm its ID first"},
        )


@anyone_in_the_shop
def put_gate(desk: Desk, concern_id: int, gate: str, result: str, value: str = "") -> None:
    """Settle a gate: fine, fault, or empty to take it back. Gates are never evidence."""
    put_gates(desk, concern_id, {gate: (result, value)})


@anyone_in_the_shop
def put_gates(desk: Desk, concern_id: int, settled: Mapping[str, tuple[str, str]]) -> None:
    """Settle several gates at once, (result, value) by gate: all or none."""
    concerns_desk.on_file(desk, concern_id)
    known = {one.key for one in (*GATES, *FIRST_GATES)}
    for gate, (result, _value) in settled.items():
        if gate not in known:
            raise BadInput(f"There is no gate {gate!r}.", fields={"gate": "unknown"})
        if result not in GATE_RESULTS:
            raise BadInput("A gate is fine, fault, or empty.", fields={"result": "unknown"})
    if RECALL_GATE in settled:
        result, value = settled[RECALL_GATE]
        recalls.settle_gate(desk, concern_id, result, touches=value.strip() != OTHER_RECALL)
    rows = {row.gate: row for row in store.gates(desk.session, concern_id)}
    new: list[dict[str, Any]] = []
    for gate, (result, value) in settled.items():
        if gate == RECALL_GATE:
            continue
        saved = {
            "result": result,
            "value": value.strip(),
            "by": desk.actor.name,
            "on": desk.today,
            "at": desk.now,
        }
        row = rows.get(gate)
        if row is None:
            new.append({"concern_id": concern_id, "gate": gate, **saved})
        else:
            row.sqlmodel_update(saved)
    store.insert_rows(desk.session, Gate, new)
    desk.note_down("settled", "concern", concern_id, gates={gate: list(one) for gate, one in settled.items()})


@anyone_in_the_shop
def put_codes(desk: Desk, concern_id: int, typed: str, scanned: CodesScanned) -> None:
    """Record the codes as typed from the scan tool (`put_scan`)."""
    put_scan(desk, concern_id, [ReportedCode(str(one)) for one in parse_codes(typed)], scanned)


@anyone_in_the_shop
def put_scan(desk: Desk, concern_id: int, codes: Sequence[ReportedCode], scanned: CodesScanned) -> None:
    """Record codes with their modules and states; earlier scans are kept. None stored is not the same as not
    scanned.
    """
    file = read_concern(desk, concern_id)
    codes = readings.as_written(codes)
    said = CodesScanned.STORED if codes else scanned
    scan = readings.taken_now(desk, file, scan_values(codes, said))
    readings.keep(desk, concern_id, (*readings.scan_before(file), scan))
    let_stand(desk, concern_id, said, codes)
    desk.note_down("scanned codes", "concern", concern_id, codes=[one.code for one in codes])


@anyone_in_the_shop
def put_read(
    desk: Desk,
    concern_id: int,
    modules: Sequence[CalibrationReading] = (),
    codes: Sequence[ReportedCode] = (),
    others: Sequence[ReadValue] = (),
) -> None:
    """Record what somebody accepted of a photo, a file or a text, as one readout: the numbers of modules,
    several IDs of one among them, codes beside those on file, and what else was read, such as a voltage.
    """
    file = read_concern(desk, concern_id)
    seen = readings.as_written(codes)
    read = readings.taken_now(desk, file, (*values_of(*modules), *codes_seen(seen), *others))
    readings.keep(desk, concern_id, (*(readings.scan_before(file) if seen else ()), read))
    if seen:
        let_stand(desk, concern_id, CodesScanned.STORED, with_seen(file.codes, seen))
    told = [one.module for one in modules], [one.code for one in seen]
    desk.note_down("read", "concern", concern_id, modules=told[0], codes=told[1])


def let_stand(desk: Desk, concern_id: int, said: CodesScanned, codes: Sequence[ReportedCode]) -> None:
    """These are the codes of a concern now, for advice and search."""
    row = concerns_desk.on_file(desk, concern_id).concern
    concern_store.replace_codes(desk.session, concern_id, codes)
    row.codes_scanned = said.value
    row.version += 1
    row.changed_revision = desk.bump("concerns")
    desk.session.flush()
