"""One concern with everything recorded about it, gathered for a page or the interface."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from kb.desk import settings as settings_desk
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.advice.update_names import names_of
from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.bay.concern import recalls as recalls_desk
from kb.desk.bay.concern import vehicles
from kb.desk.bay.concern.concern_lines import counted_as, lines_of, ref_of
from kb.desk.bay.concern.stops import RECALL_GATE, recall_gate
from kb.desk.bay.concern.views import (
    AuthorizationView,
    CalibrationView,
    ConcernLine,
    ConcernView,
    FollowUpView,
    GateView,
    ReflashView,
)
from kb.desk.bay.outcomes.observed import stories_of
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.concerns import (
    CodesScanned,
    CodeStatus,
    FollowUpResult,
    ReflashResult,
    ReportedCode,
)
from kb.nouns.gates import FIRST_GATES, GATES
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, LookUp
from kb.records.store.bay import case as store
from kb.records.store.bay import concerns as concern_store
from kb.records.store.bay.concerns import ConcernOnFile
from kb.records.store.outcomes import outcomes as outcome_store
from kb.records.tables import CalibrationRow, ConcernRow, LookUpRow
from kb.vehicle.lineage import CalibrationStatus, Lineage, fold_id


@anyone_in_the_shop
def read_concern(desk: Desk, concern_id: int) -> ConcernView:
    """The concern as it stands. Raises NotFound."""
    held = concerns_desk.on_file(desk, concern_id)
    row, order = held.concern, held.repair_order
    return ConcernView(
        id=concern_id,
        version=row.version,
        ref=ref_of(order.number, row.line),
        ro_number=order.number,
        line=row.line,
        repair_order_id=order.id or 0,
        vehicle_id=order.vehicle_id,
        vehicle=vehicles.vehicle_of(held.vehicle),
        odometer=order.odometer,
        phone=order.phone,
        **_as_told(row),
        codes_scanned=CodesScanned(row.codes_scanned),
        codes=reported_codes(desk, concern_id),
        state=row.state,
        opened_on=row.opened_on,
        opened_at=row.opened_at,
        opened_by=row.opened_by,
        ending=row.ending,
        counted=counted_as(desk, [held]).get(concern_id, ""),
        cured_by_note_id=row.cured_by_note_id,
        other_cause=row.other_cause,
        closed_on=row.closed_on,
        calibrations=calibration_views(desk, held),
        gates=gates_of(desk, held),
        recalls=recalls_desk.of_concern(desk, held),
        reflashes=_reflashes(desk, concern_id),
        follow_ups=_follow_ups(desk, concern_id),
        authorizations=_authorizations(desk, order.id or 0),
        other_lines=_other_lines(desk, held),
        earlier=_earlier(desk, held),
    )


def _as_told(row: ConcernRow) -> dict[str, Any]:
    """What the customer and the technician said of it."""
    return {
        "complaint": row.complaint,
        "technician_words": row.technician_words,
        "conditions": tuple(row.conditions),
        "frequency": row.frequency,
        "usual_gap_days": row.usual_gap_days,
        "started": row.started,
        "just_before": row.just_before,
        "overnight": row.overnight,
    }


def reported_codes(desk: Desk, concern_id: int) -> tuple[ReportedCode, ...]:
    return tuple(
        ReportedCode(one.code, one.module, CodeStatus(one.status))
        for one in concern_store.codes(desk.session, concern_id)
    )


def last_readings(rows: Iterable[CalibrationRow]) -> dict[str, CalibrationReading]:
    """The last reading of each module, by module name as compared."""
    return {
        fold_id(row.module): CalibrationReading(
            row.module,
            row.calibration_id,
            CalibrationSource(row.source),
            row.confirmed,
            row.cvn,
            row.hardware_number,
            row.software_number,
        )
        for row in rows
    }


def look_ups_of(rows: Iterable[LookUpRow]) -> tuple[LookUp, ...]:
    return tuple(
        LookUp(row.module, row.looked_up_on, row.by, row.newest_id, row.nothing_newer) for row in rows
    )


def calibration_views(desk: Desk, held: ConcernOnFile) -> tuple[CalibrationView, ...]:
    """Each module's last reading with where it stands in its lineage today."""
    readings = last_readings(store.calibrations(desk.session, held.concern.id or 0))
    look_ups = look_ups_of(store.look_ups(desk.session, held.repair_order.vehicle_id))
    lineage = updates_desk.on_file(desk).lineage(held.vehicle.make)
    limit = settings_desk.current(desk).look_up_limit_days
    return tuple(_calibration_view(desk, reading, look_ups, lineage, limit) for reading in readings.values())


def gates_of(desk: Desk, held: ConcernOnFile) -> tuple[GateView, ...]:
    """Every gate as it stands; that of recalls follows from what was looked up.

    Those of a dead or silent vehicle stand here once they are settled.
    """
    recalls = recalls_desk.of_concern(desk, held)
    settled = {row.gate: row for row in store.gates(desk.session, held.concern.id or 0)}
    views = []
    for gate in (*GATES, *(gate for gate in FIRST_GATES if gate.key in settled)):
        row = settled.get(gate.key)
        view = GateView(gate.key, gate.name, gate.question, gate.fine_word, gate.fault_word)
        if gate.key == RECALL_GATE:
            view = recall_gate(view, recalls)
        elif row:
            view = replace(view, result=row.result, value=row.value, by=row.by, on=row.on)
        views.append(view)
    return tuple(views)


def _calibration_view(
    desk: Desk, reading: CalibrationReading, look_ups: tuple[LookUp, ...], lineage: Lineage, limit: int
) -> CalibrationView:
    status: CalibrationStatus = lineage.status(reading, look_ups, desk.today, limit)
    by = next(
        (
            one.by
            for one in reversed(look_ups)
            if fold_id(one.module) == fold_id(reading.module) and one.looked_up_on == status.looked_up_on
        ),
        "",
    )
    return CalibrationView(
        reading=reading,
        state=status.state.value,
        newer=status.newer,
        looked_up_on=status.looked_up_on,
        looked_up_by=by,
        stale=status.stale,
        to_confirm=status.to_confirm,
        file_disagrees=status.file_disagrees,
    )


def _reflashes(desk: Desk, concern_id: int) -> tuple[ReflashView, ...]:
    done = outcome_store.outcomes_of_concern(desk.session, concern_id)
    told = stories_of(desk, [concern_id] if done else []).get(concern_id, ())
    failed_on = {one.reflash.outcome_id: one.failed_on for one in told}
    names = names_of(desk, [reflash.update_id for _, reflash, _ in done])
    views = []
    for outcome, reflash, event in done:
        views.append(
            ReflashView(
                outcome_id=outcome.id,
                event_id=event.id or 0,
                performed_on=event.performed_on,
                technician=event.technician,
                module=reflash.module,
                result=ReflashResult(reflash.result),
                update_id=reflash.update_id,
                update_number=names.get(reflash.update_id or 0, ("", ""))[0],
                calibration_before=reflash.calibration_before,
                calibration_after=reflash.calibration_after,
                duplicated_before=outcome.duplicated_before,
                road_test=outcome.road_test,
                other_work=tuple(outcome_store.other_work(desk.session, event.id or 0)),
                error_text=reflash.error_text,
                failed_on=failed_on.get(outcome.id or 0),
            )
        )
    return tuple(views)


def _follow_ups(desk: Desk, concern_id: int) -> tuple[FollowUpView, ...]:
    return tuple(
        FollowUpView(
            row.id or 0,
            FollowUpResult(row.result),
            row.seen_on,
            row.odometer,
            row.how,
            row.remark,
            row.cost_minor,
            row.by,
            row.day_known,
            row.import_id is not None,
            row.version,
            row.at_visit,
        )
        for row in outcome_store.follow_ups(desk.session, concern_id)
    )


def _authorizations(desk: Desk, repair_order_id: int) -> tuple[AuthorizationView, ...]:
    return tuple(
        AuthorizationView(row.amount_minor, row.who, row.how, row.if_not_cured, row.at)
        for row in outcome_store.authorizations(desk.session, repair_order_id)
    )


def _other_lines(desk: Desk, held: ConcernOnFile) -> tuple[ConcernLine, ...]:
    rows = concern_store.concerns_of_repair_order(desk.session, held.repair_order.id or 0)
    others = [row for row in rows if row.id != held.concern.id]
    return lines_of(desk, [ConcernOnFile(row, held.repair_order, held.vehicle) for row in others])


def _earlier(desk: Desk, held: ConcernOnFile) -> tuple[ConcernLine, ...]:
    if not held.vehicle.vin:
        return ()
    rows = concern_store.concerns_of_vehicle(desk.session, held.vehicle.id or 0)
    return lines_of(desk, [one for one in rows if one.repair_order.id != held.repair_order.id])
