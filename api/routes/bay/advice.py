"""Advice on a concern, the stops that bind it, and what was decided."""

from __future__ import annotations

from api.deps import Id, SignedInCall
from api.routing import Router
from api.schemas.advice import AdviceOut
from api.schemas.base import IdOut, Word
from api.schemas.concerns import DecisionBody, LiftBody
from kb.desk.bay.advice import advice
from kb.desk.bay.concern.concern_file import read_concern
from kb.nouns.bay.on_file import Decided

router = Router(prefix="/concerns/{concern_id}", tags=["advice"])


@router.get("/advice")
def give_advice(concern_id: Id, call: SignedInCall) -> AdviceOut:
    """Whether a calibration update is likely the fix, and the cheapest next step."""
    with call.reading() as desk:
        return AdviceOut.of(advice.give_advice(desk, concern_id))


@router.post("/decisions", status_code=201)
def decide(concern_id: Id, body: DecisionBody, call: SignedInCall) -> IdOut:
    """Write down what is done now; the advice is frozen with everything it rests on."""
    with call.writing() as desk:
        return IdOut(id=advice.decide(desk, concern_id, body.did, body.why_not))


@router.get("/decisions")
def list_decisions(concern_id: Id, call: SignedInCall) -> tuple[Decided, ...]:
    """What was advised and done, oldest first."""
    with call.reading() as desk:
        return read_concern(desk, concern_id).decisions


@router.post("/stops/{stop}/lift")
def lift_stop(concern_id: Id, stop: Word, body: LiftBody, call: SignedInCall) -> AdviceOut:
    """Pass a stop by name and with a reason; gives the advice without it."""
    with call.writing() as desk:
        advice.lift_stop(desk, concern_id, stop, body.reason)
        return AdviceOut.of(advice.give_advice(desk, concern_id))
