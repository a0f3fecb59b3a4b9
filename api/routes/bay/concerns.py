"""Concerns: opening, reading and correcting them, and the facts of the vehicle in the bay."""

from __future__ import annotations

from typing import Annotated

from fastapi import Query, Request, Response

from api.deps import Id, SignedInCall
from api.description.refusals import CONFLICT
from api.paging import NEXT, After, Most, name_next
from api.routing import Router
from api.schemas.base import Word
from api.schemas.concern_views import ConcernOut, OpenedOut
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
from kb.desk.bay.concern import (
    concern_file,
    concerns,
    facts,
    findings,
    findings_shown,
    vehicles,
)
from kb.desk.bay.concern.as_it_stands import CalibrationView, how_it_stands
from kb.desk.bay.handover import clocks, concern_list
from kb.desk.calls import here_again
from kb.nouns.bay.concern_file import ConcernLine
from kb.nouns.bay.gates import GateView
from kb.nouns.concerns import ReportedCode
from kb.nouns.vehicles import CalibrationReading, LookUp, Vehicle

router = Router(tags=["concerns"])


@router.post("/concerns", status_code=201, responses=CONFLICT)
def open_concern(body: ConcernBody, call: SignedInCall) -> OpenedOut:
    """Take a complaint. What the search offers for it is frozen now.

    Another vehicle with this RO number: 409 that names it; say in `same_number` which it is.
    """
    with call.writing() as desk:
        opened = concerns.open_concern(desk, body.draft())
    with call.reading() as desk:
        return OpenedOut.of(opened, asked_first=here_again.asked_first(desk, opened.id))


@router.get("/concerns", responses=NEXT)
def list_concerns(
    call: SignedInCall,
    request: Request,
    response: Response,
    state: Annotated[str, Query(pattern="^(open|closed|all)$")] = "open",
    q: Word = "",
    limit: Most = 100,
    after: After = None,
    mine: bool = False,
    waiting_for: Annotated[str, Query(pattern="^(soak|part|customer_ok|lead|sent_out|nothing|)$")] = "",
    module: Word = "",
) -> tuple[ConcernLine, ...]:
    """Newest first, narrowed by what is asked for. Where more follow, the header Link names the next call."""
    with call.reading() as desk:
        found = concern_list.list_concerns(
            desk,
            "" if state == "all" else state,
            q,
            limit,
            after,
            mine=mine,
            waiting_for=waiting_for,
            module=module,
        )
        found = clocks.with_clocks(desk, found)
    name_next(request, response, found, limit)
    return found


@router.get("/concerns/{concern_id}")
def read_concern(concern_id: Id, call: SignedInCall) -> ConcernOut:
    """Everything on file about it."""
    with call.reading() as desk:
        findings = findings_shown.list_findings(desk, concern_id)
        asked = here_again.asked_first(desk, concern_id)
        file, stands = concern_file.read_concern(desk, concern_id), how_it_stands(desk, concern_id)
    return ConcernOut.on(file, stands, desk.shop.currency, findings=findings, asked_first=asked)


@router.put("/concerns/{concern_id}", responses=CONFLICT)
def change_concern(concern_id: Id, body: ConcernChange, call: SignedInCall) -> OpenedOut:
    """Save over `version`. If somebody saved since: 409, with both texts in `details`."""
    with call.writing() as desk:
        return OpenedOut.of(
            concerns.change_concern(desk, concern_id, body.version, body.draft()), asked_first=()
        )


@router.delete("/concerns/{concern_id}/phone", status_code=204)
def forget_phone(concern_id: Id, call: SignedInCall) -> None:
    """Delete the customer's phone number, as they may ask."""
    with call.writing() as desk:
        concerns.forget_phone(desk, concern_id)


@router.put("/concerns/{concern_id}/calibrations/{module}")
def put_calibration(
    concern_id: Id, module: Word, body: CalibrationBody, call: SignedInCall
) -> tuple[CalibrationView, ...]:
    """The module's numbers as read now: they count from now on, and earlier readings are kept. Gives every
    module with where its calibration stands.
    """
    with call.writing() as desk:
        facts.put_calibration(desk, concern_id, body.as_value(CalibrationReading, module=module))
        return how_it_stands(desk, concern_id).calibrations


@router.put("/concerns/{concern_id}/look-ups/{module}")
def put_look_up(
    concern_id: Id, module: Word, body: LookUpBody, call: SignedInCall
) -> tuple[CalibrationView, ...]:
    """What the manufacturer's look-up by VIN said; it decides over the shop's own file."""
    with call.writing() as desk:
        facts.put_look_up(desk, concern_id, body.as_value(LookUp, module=module))
        return how_it_stands(desk, concern_id).calibrations


@router.put("/concerns/{concern_id}/gates/{gate}")
def put_gate(concern_id: Id, gate: Word, body: GateBody, call: SignedInCall) -> tuple[GateView, ...]:
    """Settle what must be settled before a reflash; never evidence."""
    with call.writing() as desk:
        facts.put_gate(desk, concern_id, gate, body.result, body.value)
        return how_it_stands(desk, concern_id).gates


@router.put("/concerns/{concern_id}/codes")
def put_codes(concern_id: Id, body: CodesBody, call: SignedInCall) -> tuple[ReportedCode, ...]:
    """The trouble codes as scanned now: they count from now on, and earlier scans are kept."""
    with call.writing() as desk:
        if isinstance(body.codes, str):
            facts.put_codes(desk, concern_id, body.codes, body.codes_scanned)
        else:
            codes = [one.as_value(ReportedCode) for one in body.codes]
            facts.put_scan(desk, concern_id, codes, body.codes_scanned)
        return concern_file.read_concern(desk, concern_id).codes


@router.put("/concerns/{concern_id}/findings/{check}")
def put_finding(concern_id: Id, check: Word, body: FindingBody, call: SignedInCall) -> FindingSaid:
    """One tap, or one number: what a check said. What is put later replaces it."""
    with call.writing() as desk:
        kept = findings.put_finding(desk, concern_id, check, *body.said)
    return FindingSaid.of(kept, value=kept.value if kept.number is None else kept.number)


@router.get("/vehicles")
def find_vehicles(call: SignedInCall, vin: Word = "") -> tuple[Vehicle, ...]:
    """Vehicles known by a whole VIN or its last characters; else what a whole VIN says of itself."""
    with call.reading() as desk:
        return vehicles.find_vehicles(desk, vin)
