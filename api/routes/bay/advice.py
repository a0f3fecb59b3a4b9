"""Advice on a concern, the stops that bind it, and what was decided."""

from __future__ import annotations

from fastapi import APIRouter

from api.deps import Id, SignedInCall
from api.schemas.advice import AdviceOut, DecidedOut, DecisionOut, advice_out
from api.schemas.base import Word
from api.schemas.concerns import DecisionBody, LiftBody
from kb.desk.bay.advice import advice

router = APIRouter(prefix="/concerns/{concern_id}", tags=["advice"])


@router.get("/advice", response_model_exclude_unset=True)
def give_advice(concern_id: Id, call: SignedInCall) -> AdviceOut:
    """Whether a calibration update is likely the fix, and the cheapest next step."""
    with call.reading() as desk:
        return advice_out(advice.give_advice(desk, concern_id))


@router.post("/decisions", status_code=201)
def decide(concern_id: Id, body: DecisionBody, call: SignedInCall) -> DecidedOut:
    """Write down what is done now; the advice is frozen with everything it rests on."""
    with call.writing() as desk:
        return DecidedOut(id=advice.decide(desk, concern_id, body.did, body.why_not))


@router.get("/decisions")
def list_decisions(concern_id: Id, call: SignedInCall) -> list[DecisionOut]:
    with call.reading() as desk:
        return [DecisionOut.model_validate(one) for one in advice.list_decisions(desk, concern_id)]


@router.post("/stops/{stop}/lift", response_model_exclude_unset=True)
def lift_stop(concern_id: Id, stop: Word, body: LiftBody, call: SignedInCall) -> AdviceOut:
    """Pass a stop by name and with a reason; gives the advice without it."""
    with call.writing() as desk:
        advice.lift_stop(desk, concern_id, stop, body.reason)
        return advice_out(advice.give_advice(desk, concern_id))
