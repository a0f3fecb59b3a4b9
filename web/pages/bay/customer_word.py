"""The customer's word: what is proposed, told on the tablet, by phone or in a message, and answered."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from starlette.responses import Response

from api.security import give_cookie
from kb.desk.access import handing_over
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.papers import customer_word
from kb.desk.bay.programming import money
from kb.errors import KbError
from kb.nouns.bay.customer_word import AuthorizationDraft, Proposal
from web.forms import NOTHING_TYPED, TypedForm
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/concerns/{concern_id}")

_PROPOSED = ("proposed", "amount", "if_not_cured", "programs")
_WAYS = {"tablet": "customer/tablet.html", "phone": "customer/phone.html", "message": "customer/message.html"}


def _page(visit: Visit, concern_id: int, refused: KbError | None = None) -> Response:
    """Where something is proposed and money is written down."""
    with visit.reading() as desk:
        concern, suggested = read_concern(desk, concern_id), customer_word.suggest(desk, concern_id)
    return visit.page(
        "concern/money.html",
        place="/concerns",
        concern=concern,
        suggested=suggested,
        address=f"/concerns/{concern_id}/authorization",
        refused=refused,
    )


def _asking(visit: Visit, concern_id: int, asked: TypedForm, refused: KbError | None = None) -> Response:
    """What the customer is shown or told, with the form for their answer."""
    proposal = _proposal(visit, asked)
    with visit.reading() as desk:
        told = customer_word.customer_word(desk, concern_id, proposal)
        concern = read_concern(desk, concern_id)
    return visit.page(
        _WAYS.get(asked.text("way"), _WAYS["phone"]),
        place="/concerns",
        concern=concern,
        proposal=proposal,
        told=told,
        asked={name: asked.text(name) for name in (*_PROPOSED, "way")},
        address=f"/concerns/{concern_id}/authorization",
        refused=refused,
    )


def _again(visit: Visit, concern_id: int, refused: KbError) -> Response:
    """The page that the answer was given on; a customer who holds the tablet sees no other."""
    turned = visit.visitor is not None and visit.visitor.handed_over is not None
    if turned or (
        visit.typed.text("way") in _WAYS and not {"proposed", "amount", "if_not_cured"} & {*refused.fields}
    ):
        return _asking(visit, concern_id, visit.typed, refused)
    return _page(visit, concern_id, refused)


@router.get("/authorization")
def show_authorization(visit: Somebody, concern_id: int) -> Response:
    return _page(visit, concern_id)


@router.post("/ask")
@shown_again(_page)
def ask(visit: Somebody, concern_id: int) -> Response:
    """On to the tablet, the phone's script or the message; nothing is written down yet."""
    proposal, typed = _proposal(visit, visit.typed), visit.typed
    with visit.reading() as desk:
        customer_word.customer_word(desk, concern_id, proposal)
    asked: dict[str, Any] = {name: typed.text(name) for name in (*_PROPOSED, "way") if typed.text(name)}
    if typed.text("way") != "tablet":
        return visit.go(f"/concerns/{concern_id}/ask", **asked)
    return _turned(visit, concern_id, asked)


def _turned(visit: Visit, concern_id: int, asked: dict[str, Any]) -> Response:
    """The tablet turned to the customer: where somebody has a PIN nothing else is seen before it is typed."""
    device = visit.device()
    with visit.writing() as desk:
        turned = handing_over.hand_over(desk, concern_id, device)
    response = visit.go(f"/concerns/{concern_id}/ask", **asked)
    if turned is not None:
        give_cookie(visit.request, response, turned)
    return response


@router.get("/ask")
def show_asking(visit: Somebody, concern_id: int) -> Response:
    asked = {name: (value,) for name, value in visit.request.query_params.items()}
    if asked.get("way") == ("tablet",) and visit.visitor is not None and visit.visitor.handed_over is None:
        with visit.reading() as desk:
            if handing_over.may_be_turned(desk):  # the way back to a page that is turned no more
                return visit.go(f"/concerns/{concern_id}/authorization")
    return _asking(visit.with_form(NOTHING_TYPED), concern_id, TypedForm(asked))


@router.post("/authorization")
@shown_again(_again)
def authorize(visit: Somebody, concern_id: int) -> Response:
    typed = visit.typed
    draft = AuthorizationDraft(
        amount_minor=typed.must_minor("amount", visit.shop.facts.currency, "amount"),
        told_may_not_cure=typed.ticked("told_may_not_cure"),
        told_module_can_fail=typed.ticked("told_module_can_fail"),
        declined=typed.ticked("declined"),
        **typed.texts("who", "how", "proposed", "number_called", "if_not_cured"),
    )
    with visit.writing() as desk:
        money.authorize(desk, concern_id, draft)
    if typed.text("way") == "tablet":
        return visit.go(f"/concerns/{concern_id}/thanks")
    said = "Written down: declined." if draft.declined else "OK written down."
    return visit.go(f"/concerns/{concern_id}/authorization", said=said)


@router.get("/thanks")
def thanks(visit: Somebody, concern_id: int) -> Response:
    """What the customer sees last; the shop goes on from there."""
    with visit.reading() as desk:
        concern = read_concern(desk, concern_id)
    return visit.page("customer/thanks.html", place="/concerns", concern=concern)


@router.post("/payments")
@shown_again(_page)
def record_payment(visit: Somebody, concern_id: int) -> Response:
    typed = visit.typed
    amount = typed.must_minor("paid", visit.shop.facts.currency, "amount")
    with visit.writing() as desk:
        money.record_payment(
            desk, concern_id, typed.text("kind"), amount, typed.text("who_paid"), typed.text("remark")
        )
    return visit.go(f"/concerns/{concern_id}/authorization", said="Money written down.")


def _proposal(visit: Visit, asked: TypedForm) -> Proposal:
    """Raises BadInput for an amount that is none."""
    return Proposal(
        asked.text("proposed"),
        asked.must_minor("amount", visit.shop.facts.currency, "amount"),
        asked.text("if_not_cured"),
        asked.ticked("programs"),
    )
