"""What is recorded on the concern page with a tap or two. Each answers by showing the page again."""

from __future__ import annotations

from functools import partial

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.advice import advice
from kb.desk.bay.concern import concerns, facts, findings, odd_entries
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.handover import waiting
from kb.errors import BadInput
from kb.nouns.bay.waiting import WaitingFor
from kb.nouns.concerns import CodesScanned, FindingResult
from kb.nouns.vehicles import CalibrationId, CalibrationReading, CalibrationSource, LookUp, Moment
from web.forms import TypedForm
from web.pages.bay.concern import concern_page
from web.shown_again import shown_again
from web.visits import Somebody

router = APIRouter(prefix="/concerns/{concern_id}")


@router.post("/findings")
@shown_again(partial(concern_page, at="findings"))
def put_finding(visit: Somebody, concern_id: int) -> Response:
    """A result, or the number that decides it; an empty result takes the finding back."""
    typed = visit.typed
    said, check = typed.text("result"), typed.text("check")
    with visit.writing() as desk:
        if not said:
            findings.clear_finding(desk, concern_id, check)
        elif said == "number":
            findings.put_finding(desk, concern_id, check, None, number=_value(typed))
        else:
            number = typed.number("number", "value")
            findings.put_finding(desk, concern_id, check, _result(typed), typed.text("value"), number)
    return visit.go(f"/concerns/{concern_id}")


@router.post("/gates")
def put_gate(visit: Somebody, concern_id: int) -> Response:
    typed = visit.typed
    with visit.writing() as desk:
        facts.put_gate(desk, concern_id, typed.text("gate"), typed.text("result"), typed.text("value"))
    return visit.go(
        f"/concerns/{concern_id}" + ("/prep#place-replaced-module" if typed.text("back") == "prep" else "")
    )


@router.post("/calibrations")
@shown_again(partial(concern_page, at="calibration"))
def put_calibration(visit: Somebody, concern_id: int) -> Response:
    typed = visit.typed
    if typed.ticked("not_readable"):
        with visit.writing() as desk:
            facts.put_not_readable(desk, concern_id, typed.text("module"), "")
        return visit.go(f"/concerns/{concern_id}", said="Written down: it cannot be read.")
    reading = CalibrationReading(
        module=typed.text("module"),
        calibration_id=typed.text("calibration_id"),
        source=_source(typed),
        confirmed=typed.ticked("confirmed"),
        cvn=typed.text("cvn"),
        hardware_number=typed.text("hardware_number"),
        software_number=typed.text("software_number"),
        more=tuple(CalibrationId(*line.split(maxsplit=1)) for line in typed.lines("more_ids")),
        moment=typed.one_of("moment", Moment, Moment.UNKNOWN),
    )
    with visit.writing() as desk:
        facts.put_calibration(desk, concern_id, reading)
        make = read_concern(desk, concern_id).vehicle.make
        meant = odd_entries.like_on_file(desk, make, reading.module, reading.calibration_id)
    return visit.go(
        f"/concerns/{concern_id}", said=f"{reading.module} {reading.calibration_id} saved. {meant}".strip()
    )


@router.post("/look-ups")
@shown_again(partial(concern_page, at="look_up"))
def put_look_up(visit: Somebody, concern_id: int) -> Response:
    typed = visit.typed
    look_up = LookUp(
        module=typed.must_text("module", "module"),
        looked_up_on=typed.must_day("looked_up_on", "day of the look-up"),
        by=visit.actor.name,
        newest_id=typed.text("newest_id"),
        nothing_newer=typed.ticked("nothing_newer"),
    )
    with visit.writing() as desk:
        facts.put_look_up(desk, concern_id, look_up)
    return visit.go(f"/concerns/{concern_id}", said="Look-up saved.")


@router.post("/codes")
@shown_again(partial(concern_page, at="codes"))
def put_codes(visit: Somebody, concern_id: int) -> Response:
    typed = visit.typed
    scanned = typed.one_of("codes_scanned", CodesScanned, CodesScanned.NOT_SCANNED)
    with visit.writing() as desk:
        facts.put_codes(desk, concern_id, typed.text("codes"), scanned)
    return visit.go(f"/concerns/{concern_id}", said="Codes saved.")


@router.post("/lift")
def lift_stop(visit: Somebody, concern_id: int) -> Response:
    typed = visit.typed
    try:
        with visit.writing() as desk:
            advice.lift_stop(desk, concern_id, typed.text("stop"), typed.text("reason"))
    except BadInput as refused:
        return concern_page(visit, concern_id, refused, "lift-" + typed.text("stop"))
    there = f"/concerns/{concern_id}" + ("/prep" if typed.text("back") == "prep" else "")
    return visit.go(there, said=f"Overridden by {visit.name_of(visit.actor.name)}.")


@router.post("/waiting")
@shown_again(concern_page)
def wait(visit: Somebody, concern_id: int) -> Response:
    """What it waits for; an empty one says that it goes on."""
    typed = visit.typed
    with visit.writing() as desk:
        if typed.text("waiting_for"):
            what = typed.must_be_one_of("waiting_for", WaitingFor, "Say what it waits for.")
            waiting.wait_for(desk, concern_id, what, typed.text("remark"))
        else:
            waiting.go_on(desk, concern_id)
    return visit.go(f"/concerns/{concern_id}")


@router.post("/forget-phone")
def forget_phone(visit: Somebody, concern_id: int) -> Response:
    with visit.writing() as desk:
        concerns.forget_phone(desk, concern_id)
    return visit.go(f"/concerns/{concern_id}", said="Phone number deleted.")


def _value(typed: TypedForm) -> float:
    number = typed.number("number", "value")
    if number is None:
        raise BadInput("Type the value that was measured, then save it.", fields={"number": "empty"})
    return number


def _result(typed: TypedForm) -> FindingResult:
    try:
        return FindingResult(typed.text("result"))
    except ValueError:
        raise BadInput("A finding is yes, no or inconclusive.", fields={"result": "not known"}) from None


def _source(typed: TypedForm) -> CalibrationSource:
    try:
        return CalibrationSource(typed.text("source") or CalibrationSource.TYPED.value)
    except ValueError:
        raise BadInput("Say where the ID is from.", fields={"source": "not known"}) from None
