"""What leaves on paper: the customer's sheet and the repair order's print."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import PlainTextResponse, Response

from kb.desk import settings
from kb.desk.bay.advice import advice
from kb.desk.bay.papers import ro_lines
from kb.desk.bay.programming import prep, programmed, release
from kb.desk.bay.seen import photos
from kb.nouns import recalls
from web.pages.bay.on_concern import on_concern
from web.visits import Somebody

router = APIRouter(prefix="/concerns/{concern_id}")


@router.get("/paper")
def customer_paper(visit: Somebody, concern_id: int) -> Response:
    with visit.reading() as desk:
        context = on_concern(desk, concern_id)
        closed = context["concern"].state == "closed"
        told = () if closed else advice.give_advice(desk, concern_id).cautions
        context |= {
            "window_days": settings.current(desk).window_days,
            "said_if_open": recalls.IF_OPEN,
            "released": release.release_list(desk, concern_id).released,
            "cautions": [one for one in told if one.is_for_the_customer],
        }
    return visit.page("papers/customer.html", place="/concerns", **context)


@router.get("/print")
def repair_order(visit: Somebody, concern_id: int) -> Response:
    """Findings, advice, decisions, overrides and results, for the file."""
    with visit.reading() as desk:
        context = on_concern(desk, concern_id)
        done = next(iter(programmed.programmed_for(desk, concern_id)), None)
        context |= {
            "said_of_recalls": recalls.SAID,
            "advice": advice.give_advice(desk, concern_id),
            "photos": [one for one in photos.list_photos(desk, concern_id) if one.on_print],
            "parts": ro_lines.ro_parts(desk, concern_id),
            "release": release.release_list(desk, concern_id),
            "prep": prep.prep_list(desk, concern_id, done.note_id if done else None),
        }
    return visit.page("papers/repair_order.html", place="/concerns", **context)


@router.get("/ro-text")
def text_for_the_ro(visit: Somebody, concern_id: int) -> Response:
    """What is typed into the shop's own system, to copy."""
    with visit.reading() as desk:
        context = on_concern(desk, concern_id)
        text, plain = ro_lines.ro_texts(desk, concern_id)
    return visit.page("papers/ro_text.html", place="/concerns", text=text, plain=plain, **context)


@router.get("/ro.txt")
def text_alone(visit: Somebody, concern_id: int) -> Response:
    with visit.reading() as desk:
        text = ro_lines.ro_text(desk, concern_id, only_ascii=True)
    return PlainTextResponse(text, headers={"Cache-Control": "no-store"})
