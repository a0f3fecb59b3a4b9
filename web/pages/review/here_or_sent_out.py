"""Here or sent out: from how many vehicles a year programming a make here pays, and what was turned away."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.review.here_or_sent_out.report import FEWEST, here_or_sent_out
from kb.desk.review.here_or_sent_out.vehicles import ENOUGH
from web.visits import Somebody

router = APIRouter(prefix="/review/here-or-sent-out")


@router.get("")
def show(visit: Somebody) -> Response:
    with visit.reading() as desk:
        report = here_or_sent_out(desk)
    return visit.page(
        "review/here_or_sent_out.html", place="/review", report=report, fewest=FEWEST, enough=ENOUGH
    )
