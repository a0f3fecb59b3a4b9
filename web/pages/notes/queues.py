"""The lead's queues, each emptied item by item, by mouse or by keyboard."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.context import Desk
from kb.desk.notes import proposals, search_words
from kb.desk.review import queues
from kb.nouns.bay.proposals import ProposalState
from web.pages.notes.queue_names import QUEUES
from web.visits import Somebody, Visit

router = APIRouter(prefix="/queues")


def _page(visit: Visit, queue: str, gather: Callable[[Desk], dict[str, Any]]) -> Response:
    """One queue, and how much waits in each: gathered at one desk, which asks for nothing twice."""
    with visit.reading() as desk:
        context = gather(desk)
        counts = {one.queue: one.count for one in queues.waiting(desk)}
    return visit.page(
        f"queues/{queue}.html", place="/notes", queue=queue, queues=QUEUES, counts=counts, **context
    )


@router.get("/proposals")
def show_proposals(visit: Somebody) -> Response:
    """The oldest first."""
    visit.only("lead", "owner")
    return _page(
        visit,
        "proposals",
        lambda desk: {"items": proposals.list_proposals(desk, [ProposalState.PROPOSED])[::-1]},
    )


@router.get("/drafts")
def show_drafts(visit: Somebody) -> Response:
    return _page(visit, "drafts", lambda desk: {"found": queues.drafts(desk)})


@router.get("/look-again")
def show_to_look_at(visit: Somebody) -> Response:
    return _page(visit, "look-again", lambda desk: {"found": queues.to_look_at(desk)})


@router.get("/contradicted")
def show_contradicted(visit: Somebody) -> Response:
    return _page(visit, "contradicted", lambda desk: {"items": queues.spoken_against(desk)})


@router.get("/unanswered")
def show_unanswered(visit: Somebody) -> Response:
    return _page(
        visit,
        "unanswered",
        lambda desk: {"items": search_words.found_nothing(desk), "shown_days": search_words.SHOWN_DAYS},
    )


@router.post("/unanswered")
def set_aside(visit: Somebody) -> Response:
    text = visit.typed.must_text("text", "words")
    with visit.writing() as desk:
        search_words.set_aside(desk, text)
    return visit.go("/queues/unanswered", said=f"“{text}” is set aside. Asked again, it comes again.")
