"""Whether the advice can be trusted: what was said against what came, and what it saved."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.review import advice_report
from web.visits import Somebody

router = APIRouter(prefix="/review/advice")


@router.get("")
def show(visit: Somebody) -> Response:
    with visit.reading() as desk:
        report = advice_report.advice_report(desk)
    return visit.page("review/advice.html", place="/review", report=report, told=report.chances)
