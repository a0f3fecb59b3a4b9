"""The lead's queues, each emptied item by item, by mouse or by keyboard."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.notes import proposals
from kb.nouns.proposals import ProposalState
from web.visits import Somebody

router = APIRouter(prefix="/queues")


@router.get("/proposals")
def show_proposals(visit: Somebody) -> Response:
    visit.only("lead", "owner")
    with visit.reading() as desk:
        items = proposals.list_proposals(desk, [ProposalState.PROPOSED])[::-1]
    return visit.page("queues/proposals.html", place="/notes", queue="proposals", items=items)
