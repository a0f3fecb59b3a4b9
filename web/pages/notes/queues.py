"""The lead's queues, each emptied item by item, by mouse or by keyboard."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.notes import proposals, search_words
from kb.desk.review import queues
from kb.nouns.bay.proposals import ProposalState
from web.pages.notes.queue_names import QUEUES
from web.visits import Somebody, Visit

router = APIRouter(prefix="/queues")


def _page(visit: Visit, queue: str, **context: Any) -> Response:
    with visit.reading() as desk:
        counts = {one.queue: one.count for one in queues.waiting(desk)}
    return visit.page(
        f"queues/{queue}.html", place="/notes", queue=queue, queues=QUEUES, counts=counts, **context
    )


@router.get("/proposals")
def show_proposals(visit: Somebody) -> Response:
    """The oldest first."""
    visit.only("lead", "owner")
    with visit.reading() as desk:
        items = proposals.list_proposals(desk, [ProposalState.PROPOSED])[::-1]
    return _page(visit, "proposals", items=items)


@router.get("/drafts")
def show_drafts(visit: Somebody) -> Response:
    with visit.reading() as desk:
        found = queues.drafts(desk)
    return _page(visit, "drafts", found=found)


@router.get("/look-again")
def show_to_look_at(visit: Somebody) -> Response:
    with visit.reading() as desk:
        found = queues.to_look_at(desk)
    return _page(visit, "look-again", found=found)


@router.get("/contradicted")
def show_contradicted(visit: Somebody) -> Response:
    with visit.reading() as desk:
        found = queues.spoken_against(desk)
    return _page(visit, "contradicted", items=found)


@router.get("/unanswered")
def show_unanswered(visit: Somebody) -> Response:
    with visit.reading() as desk:
        found = search_words.found_nothing(desk)
    return _page(visit, "unanswered", items=found, shown_days=search_words.SHOWN_DAYS)


@router.post("/unanswered")
def set_aside(visit: Somebody) -> Response:
    text = visit.typed.must_text("text", "words")
    with visit.writing() as desk:
        search_words.set_aside(desk, text)
    return visit.go("/queues/unanswered", said=f"“{text}” is set aside. Asked again, it comes again.")
