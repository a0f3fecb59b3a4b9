"""Concerns: opening, reading and correcting them, and the facts of the vehicle in the bay."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query

from api.deps import Id, SignedInCall
from api.schemas.base import Word
from api.schemas.concern_views import (
    AskedFirstOut,
    CalibrationOut,
    CodeOut,
    ConcernLineOut,
    ConcernOut,
    GateOut,
    OpenedOut,
    VehicleOut,
)
from api.schemas.concerns import (
    CalibrationBody,
    CodesBody,
    ConcernBody,
    ConcernChange,
    FindingBody,
    FindingSaid,
    GateBody,
    LookUpBody,
)
from api.schemas.money import in_whole_units
from api.security import Call
from kb.desk.bay.concern import case, concerns, facts, finding_views, findings, vehicles
from kb.desk.calls import here_again
from kb.nouns.vehicles import LookUp

router = APIRouter(tags=["concerns"])


@router.post("/concerns", status_code=201)
def open_concern(body: ConcernBody, call: SignedInCall) -> OpenedOut:
    """Take a complaint. What the search offers for it is frozen now."""
    with call.writing() as desk:
        opened = OpenedOut.model_validate(concerns.open_concern(desk, body.draft()))
    with call.reading() as desk:
        asked = tuple(AskedFirstOut.model_validate(one) for one in here_again.asked_first(desk, opened.id))
    return opened.model_copy(update={"asked_first": asked})


@router.get("/concerns")
def list_concerns(
    call: SignedInCall,
    state: Annotated[str, Query(pattern="^(open|closed|all)$")] = "open",
    q: Word = "",
    limit: Annotated[int, Query(ge=1, le=1000)] = 100,
) -> list[ConcernLineOut]:
    with call.reading() as desk:
        lines = concerns.list_concerns(desk, "" if state == "all" else state, q, limit)
    return [ConcernLineOut.model_validate(line) for line in lines]


@router.get("/concerns/{concern_id}")
def read_concern(concern_id: Id, call: SignedInCall) -> ConcernOut:
    return _whole(call, concern_id)


@router.put("/concerns/{concern_id}")
def change_concern(concern_id: Id, body: ConcernChange, call: SignedInCall) -> OpenedOut:
    """Save over `version`. If somebody saved since: 409, with both texts in `details`."""
    with call.writing() as desk:
        return OpenedOut.model_validate(concerns.change_concern(desk, concern_id, body.version, body.draft()))


@router.delete("/concerns/{concern_id}/phone", status_code=204)
def forget_phone(concern_id: Id, call: SignedInCall) -> None:
    with call.writing() as desk:
        concerns.forget_phone(desk, concern_id)


@router.put("/concerns/{concern_id}/calibrations/{module}")
def put_calibration(
    concern_id: Id, module: Word, body: CalibrationBody, call: SignedInCall
) -> list[CalibrationOut]:
    """The module's numbers as read now; gives every module with where its calibration stands."""
    with call.writing() as desk:
        facts.put_calibration(desk, concern_id, body.reading(module))
        view = case.read_concern(desk, concern_id)
    return [CalibrationOut.model_validate(one) for one in view.calibrations]


@router.put("/concerns/{concern_id}/look-ups/{module}")
def put_look_up(concern_id: Id, module: Word, body: LookUpBody, call: SignedInCall) -> list[CalibrationOut]:
    """What the manufacturer's look-up by VIN said; it decides over the shop's own file."""
    with call.writing() as desk:
        look_up = LookUp(module, body.looked_up_on, body.by, body.newest_id, body.nothing_newer)
        facts.put_look_up(desk, concern_id, look_up)
        view = case.read_concern(desk, concern_id)
    return [CalibrationOut.model_validate(one) for one in view.calibrations]


@router.put("/concerns/{concern_id}/gates/{gate}")
def put_gate(concern_id: Id, gate: Word, body: GateBody, call: SignedInCall) -> list[GateOut]:
    """Settle what must be settled before a reflash; never evidence."""
    with call.writing() as desk:
        facts.put_gate(desk, concern_id, gate, body.result, body.value)
        view = case.read_concern(desk, concern_id)
    return [GateOut.model_validate(one) for one in view.gates]


@router.put("/concerns/{concern_id}/codes")
def put_codes(concern_id: Id, body: CodesBody, call: SignedInCall) -> list[CodeOut]:
    """The trouble codes as scanned now, in place of those before."""
    with call.writing() as desk:
        facts.put_codes(desk, concern_id, body.codes, body.codes_scanned)
        view = case.read_concern(desk, concern_id)
    return [CodeOut.model_validate(one) for one in view.codes]


@router.put("/concerns/{concern_id}/findings/{check}")
def put_finding(concern_id: Id, check: Word, body: FindingBody, call: SignedInCall) -> FindingSaid:
    """One tap: what a check said. A second tap replaces the first."""
    with call.writing() as desk:
        findings.put_finding(desk, concern_id, check, body.result, body.value)
    return FindingSaid(check=check, result=body.result, value=body.value)


@router.get("/vehicles")
def find_vehicles(call: SignedInCall, vin: Word = "") -> list[VehicleOut]:
    """Vehicles known by a whole VIN or its last characters; else what a whole VIN says of itself."""
    with call.reading() as desk:
        return [VehicleOut.model_validate(one) for one in vehicles.find_vehicles(desk, vin)]


def _whole(call: Call, concern_id: int) -> ConcernOut:
    with call.reading() as desk:
        view = case.read_concern(desk, concern_id)
        shown = finding_views.list_findings(desk, concern_id)
        asked = here_again.asked_first(desk, concern_id)
    told = in_whole_units(view, call.shop.facts.currency)
    told["findings"] = in_whole_units(shown, call.shop.facts.currency)
    told["next_step"] = view.next_step
    told["asked_first"] = asked
    return ConcernOut.model_validate(told)
