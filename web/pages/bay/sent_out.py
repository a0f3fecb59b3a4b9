"""Sent out to be programmed: to whom it goes, and what came back."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.advice import advice
from kb.desk.bay.programming import sent_out
from kb.errors import KbError
from kb.nouns.bay.sent_out import SentBackDraft, SentOutDraft, SentOutResult
from kb.nouns.concerns import Duplicated
from kb.nouns.shop.ways import Way
from web.forms import TypedForm
from web.pages.bay.on_concern import on_concern
from web.pages.bay.programming import updates_and_stops
from web.pages.bay.programming_typed import beside_its_fields, modules_typed
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/concerns/{concern_id}/sent-out")


def _page(visit: Visit, concern_id: int, refused: KbError | None = None, way: str = "") -> Response:
    """Where it goes; while it is out, what came back."""
    refused = refused and beside_its_fields(refused, visit.typed)
    with visit.reading() as desk:
        context = on_concern(desk, concern_id) | updates_and_stops(desk, concern_id)
        out = sent_out.running(desk, context["concern"])
        offers = sent_out.offers_on(desk, concern_id) if out is None else ()
        said = advice.give_advice(desk, concern_id) if out is None else None
    update = str(out.update_id) if out and out.update_id else ""
    return visit.page(
        "programming/sent_back.html" if out else "programming/send_out.html",
        place="/concerns",
        refused=refused,
        out=out,
        offers=offers,
        lead=said.lead if said else None,
        begin={"result": "", "update": update, "way": way},
        **context,
    )


@router.get("")
def show(visit: Somebody, concern_id: int, way: str = "") -> Response:
    return _page(visit, concern_id, way=way)


@router.post("")
@shown_again(_page, KbError)
def send(visit: Somebody, concern_id: int) -> Response:
    draft = _draft(visit.typed, visit.shop.facts.currency)
    with visit.writing() as desk:
        sent_out.send_out(desk, concern_id, draft)
    return visit.go(f"/concerns/{concern_id}", said="Sent out. It stays ours: the result is asked for.")


@router.post("/result")
@shown_again(_page, KbError)
def tell(visit: Somebody, concern_id: int) -> Response:
    draft = _back(visit.typed, concern_id, visit.shop.facts.currency)
    with visit.writing() as desk:
        sent_out.tell_result(desk, concern_id, draft)
    if draft.result is SentOutResult.PROGRAMMED:
        missing = draft.still_asked_for
        still = f" Still to be asked for: {', '.join(missing)}." if missing else ""
        said = f"Written down.{still} Now the road test, like our own."
        return visit.go(f"/concerns/{concern_id}/release", said=said)
    return visit.go(f"/concerns/{concern_id}", said="Written down. Go on with it, or close it.")


@router.post("/take-back")
def take_back(visit: Somebody, concern_id: int) -> Response:
    with visit.writing() as desk:
        sent_out.take_back(desk, concern_id)
    return visit.go(f"/concerns/{concern_id}", said="Taken back: it is not out, and nothing of it counts.")


def _draft(typed: TypedForm, currency: str) -> SentOutDraft:
    return SentOutDraft(
        way=typed.must_be_one_of("way", Way, "Say who does it."),
        module=typed.text("module"),
        update_id=typed.whole("update", "update"),
        sent_to=typed.text("sent_to"),
        told_price_minor=typed.minor("told_price", currency, "price"),
        due_on=typed.day("due_on", "day", ahead=True),
        why_not=typed.text("why_not"),
    )


def _back(typed: TypedForm, concern_id: int, currency: str) -> SentBackDraft:
    result = typed.must_be_one_of("back", SentOutResult, "Say what came back.")
    programmed = result is SentOutResult.PROGRAMMED
    return SentBackDraft(
        result=result,
        done_on=typed.must_day("done_on", "day"),
        modules=modules_typed(typed, concern_id) if programmed else (),
        what_was_done=typed.text("what_was_done"),
        invoice_minor=typed.minor("invoice", currency, "invoice"),
        invoice_number=typed.text("invoice_number"),
        who_paid=typed.text("who_paid") or "shop",
        duplicated_before=typed.must_be_one_of("duplicated_before", Duplicated, "Tap what was seen before.")
        if typed.text("duplicated_before")
        else None,
    )
