"""The start page: a search box, open concerns, and what waits to be done."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import PlainTextResponse, Response

from kb.desk import concerns, followups, people, reports
from web.visits import Anybody, Somebody

router = APIRouter()
open_router = APIRouter()


@open_router.get("/")
def start(visit: Anybody) -> Response:
    """Where everybody begins: sign-in or first run for strangers, the concerns for people of the shop."""
    if visit.visitor is not None:
        return visit.go("/concerns")
    with visit.reading() as desk:
        first = people.first_run_open(desk)
    return visit.go("/first-run" if first else "/sign-in")


@open_router.get("/robots.txt")
def robots() -> Response:
    return PlainTextResponse("User-agent: *\nDisallow: /\n")


@router.get("/concerns")
def open_concerns(visit: Somebody, state: str = "open", q: str = "") -> Response:
    """Concerns of one state, newest first. `state=all` shows every one."""
    wanted = "" if state == "all" else state
    with visit.reading() as desk:
        lines = concerns.list_concerns(desk, wanted, q)
        calls = followups.how_many_due(desk)
        raised = reports.standing_alarms(desk) if visit.may("lead", "owner") else ()
    return visit.page(
        "home.html", place="/concerns", lines=lines, state=state, q=q, calls=calls, raised=raised
    )
