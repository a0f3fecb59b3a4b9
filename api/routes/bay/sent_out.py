"""Concerns that somebody else programs: sent out, and what came back."""

from __future__ import annotations

from api.deps import Id, SignedInCall
from api.description.refusals import CONFLICT
from api.routing import Router
from api.schemas.outcomes import SentBackBody, SentBackOut, SentOutBody, SentOutOut, StillOutOut
from kb.desk.bay.programming import sent_out
from kb.nouns.bay.sent_out import SentBackDraft, SentOutDraft

router = Router(tags=["programming"])
_PATH = "/concerns/{concern_id}/sent-out"


@router.get("/sent-out")
def what_is_out(call: SignedInCall) -> list[StillOutOut]:
    """Everything that is out, what is due first."""
    with call.reading() as desk:
        return [StillOutOut.of_money(one, desk.shop.currency) for one in sent_out.what_is_out(desk)]


@router.get(_PATH)
def sent_out_of(concern_id: Id, call: SignedInCall) -> list[SentOutOut]:
    """Every time that the concern was sent out, oldest first."""
    with call.reading() as desk:
        return [SentOutOut.of_money(one, desk.shop.currency) for one in sent_out.of_concern(desk, concern_id)]


@router.post(_PATH, status_code=201, responses=CONFLICT)
def send_out(concern_id: Id, body: SentOutBody, call: SignedInCall) -> SentOutOut:
    """It goes out and waits for its result; the advice is frozen with it. Out already or closed: 409."""
    with call.writing() as desk:
        currency = desk.shop.currency
        return SentOutOut.of_money(
            sent_out.send_out(desk, concern_id, body.as_value(SentOutDraft, currency)), currency
        )


@router.post(f"{_PATH}/result", responses=CONFLICT)
def tell_result(concern_id: Id, body: SentBackBody, call: SignedInCall) -> SentBackOut:
    """What came back. What was programmed counts like our own, under its way; then comes the road test."""
    with call.writing() as desk:
        draft = body.as_value(SentBackDraft, desk.shop.currency)
        told = SentOutOut.of_money(sent_out.tell_result(desk, concern_id, draft), desk.shop.currency)
        return SentBackOut(**dict(told), still_asked_for=draft.still_asked_for)


@router.delete(_PATH, status_code=204)
def take_sent_out_back(concern_id: Id, call: SignedInCall) -> None:
    """It was not sent out after all; nothing of it counts."""
    with call.writing() as desk:
        sent_out.take_back(desk, concern_id)
