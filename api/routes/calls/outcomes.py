"""What was done to a vehicle, what came of it, and who paid."""

from __future__ import annotations

from typing import Annotated

from fastapi import Query
from pydantic import BeforeValidator, WithJsonSchema

from api.deps import Id, SignedInCall
from api.description.refusals import CONFLICT
from api.routing import Router
from api.schemas.base import Day, IdOut
from api.schemas.concerns import CloseBody, RoadTestBody, SaidHereBody
from api.schemas.outcomes import (
    AuthorizationBody,
    EventBody,
    FollowUpBody,
    FollowUpChange,
    PaymentBody,
    PromiseBody,
)
from kb.desk.bay.advice import turned_away
from kb.desk.bay.concern import closing, concerns
from kb.desk.bay.programming import money, programming, sittings
from kb.desk.calls import answers_here, call_list, what_was_heard
from kb.desk.calls.call_list import DueFollowUp
from kb.nouns.bay.concern_file import ConcernLine
from kb.nouns.bay.customer_word import AuthorizationDraft
from kb.nouns.concerns import Ending, FollowUpDraft
from kb.nouns.currency import to_minor

router = Router(tags=["outcomes"])

_A_DAY = {"type": "string", "format": "date"}
_TODAY = ("", "1", "true", "yes")
DueDay = Annotated[
    Day | None,
    BeforeValidator(lambda said: None if said in _TODAY else said),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "string", "format": "date"},
                {"type": "string", "enum": [*_TODAY]},
                {"type": "null"},
            ]
        }
    ),
    Query(),
]


@router.post("/programming-events", status_code=201, responses=CONFLICT)
def record_programming(body: EventBody, call: SignedInCall) -> IdOut:
    """One sitting: each installed module becomes an outcome of every concern it was done for."""
    with call.writing() as desk:
        if body.same_sitting_as is not None:
            return IdOut(id=sittings.join_sitting(desk, body.same_sitting_as, body.draft()))
        return IdOut(id=programming.record_event(desk, body.draft(), done_twice=body.done_twice))


@router.post("/concerns/{concern_id}/road-test", status_code=204, responses=CONFLICT)
def record_road_test(concern_id: Id, body: RoadTestBody, call: SignedInCall) -> None:
    """Whether the concern was gone on the road, and could be made to happen before."""
    with call.writing() as desk:
        programming.record_road_test(desk, concern_id, body.road_test, body.duplicated_before, was=body.was)


@router.post("/concerns/{concern_id}/follow-ups", status_code=201)
def record_follow_up(concern_id: Id, body: FollowUpBody, call: SignedInCall) -> IdOut:
    """What was heard of the vehicle after its reflash."""
    with call.writing() as desk:
        draft = body.as_value(FollowUpDraft, desk.shop.currency)
        return IdOut(id=what_was_heard.record_follow_up(desk, concern_id, draft))


@router.post("/concerns/{concern_id}/earlier/{earlier_id}", status_code=201, responses=CONFLICT)
def answer_about_earlier(concern_id: Id, earlier_id: Id, body: SaidHereBody, call: SignedInCall) -> IdOut:
    """What was said of an earlier reflash when the vehicle came in with this concern; gives the follow-up's
    id. 409 where another answer was given at this visit.
    """
    with call.writing() as desk:
        return IdOut(id=answers_here.answer_here(desk, concern_id, earlier_id, body.said))


@router.put("/follow-ups/{follow_up_id}", status_code=204, responses=CONFLICT)
def correct_follow_up(follow_up_id: Id, body: FollowUpChange, call: SignedInCall) -> None:
    """Put right what was written down; the trail keeps what it was. 409 where somebody else did meanwhile."""
    with call.writing() as desk:
        what_was_heard.correct_follow_up(
            desk, follow_up_id, body.version, body.as_value(FollowUpDraft, desk.shop.currency)
        )


@router.delete("/follow-ups/{follow_up_id}", status_code=204, responses=CONFLICT)
def take_back_follow_up(follow_up_id: Id, call: SignedInCall) -> None:
    """As if it had never been written down; a promised call that it settled is promised again."""
    with call.writing() as desk:
        what_was_heard.take_back(desk, follow_up_id)


@router.post("/concerns/{concern_id}/promised-call", status_code=204)
def promise_call(concern_id: Id, body: PromiseBody, call: SignedInCall) -> None:
    """On that day the vehicle stands on the list of those to ask."""
    with call.writing() as desk:
        call_list.promise_call(desk, concern_id, body.on)


@router.get("/follow-ups")
def due_follow_ups(call: SignedInCall, due: DueDay = None) -> tuple[DueFollowUp, ...]:
    """Vehicles to ask by that day: the window has closed, a call was promised, or they are here again."""
    with call.reading() as desk:
        return call_list.due(desk, due)


@router.post("/concerns/{concern_id}/close", responses=CONFLICT)
def close_concern(concern_id: Id, body: CloseBody, call: SignedInCall) -> ConcernLine:
    """Close it with its answer. Sent to the dealer is a valid ending."""
    with call.writing() as desk:
        if body.ending is Ending.SENT_TO_DEALER and body.why_not:
            turned_away.send_to_dealer(desk, concern_id, body.why_not)
            return concerns.read_line(desk, concern_id)
        closing.close_concern(
            desk,
            concern_id,
            body.ending,
            cured_by=body.cured_by,
            other_cause=body.other_cause,
            explained_by=body.explained_by,
        )
        return concerns.read_line(desk, concern_id)


@router.post("/concerns/{concern_id}/reopen")
def reopen_concern(concern_id: Id, call: SignedInCall) -> ConcernLine:
    """Take back how it was closed."""
    with call.writing() as desk:
        closing.reopen_concern(desk, concern_id)
        return concerns.read_line(desk, concern_id)


@router.post("/concerns/{concern_id}/authorizations", status_code=204)
def authorize(concern_id: Id, body: AuthorizationBody, call: SignedInCall) -> None:
    """What the customer agreed to; the newest is the limit."""
    with call.writing() as desk:
        money.authorize(desk, concern_id, body.as_value(AuthorizationDraft, desk.shop.currency))


@router.post("/concerns/{concern_id}/payments", status_code=204)
def record_payment(concern_id: Id, body: PaymentBody, call: SignedInCall) -> None:
    """Billed, cost and credited are three numbers."""
    with call.writing() as desk:
        amount = to_minor(body.amount, desk.shop.currency)
        money.record_payment(desk, concern_id, body.kind, amount, body.who_paid, body.remark)
