"""The start page: a search box, open concerns, and what waits to be done."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from starlette.responses import PlainTextResponse, Response

from kb.desk.access import sign_ins
from kb.desk.bay.handover import clocks, concern_list
from kb.desk.bay.programming import sent_out, starting
from kb.desk.calls import morning_calls
from kb.desk.context import Desk
from kb.desk.notes import proposals
from kb.desk.review import first_steps, queues, reports
from kb.desk.shop import identity
from web.pages.imports.notes_wanted import BESIDE
from web.query_values import OptionalId
from web.visits import Anybody, Somebody, Visit

router = APIRouter()
open_router = APIRouter()


@open_router.get("/")
def start(visit: Anybody) -> Response:
    """Where everybody begins: sign-in or first run for strangers, the concerns for people of the shop."""
    if visit.visitor is not None:
        return visit.go("/concerns")
    with visit.reading() as desk:
        first = sign_ins.first_run_open(desk)
    return visit.go("/first-run" if first else "/sign-in")


@open_router.get("/robots.txt")
def robots() -> Response:
    return PlainTextResponse("User-agent: *\nDisallow: /\n")


@router.get("/concerns")
def open_concerns(
    visit: Somebody,
    state: str = "open",
    q: str = "",
    mine: str = "",
    waiting_for: str = "",
    module: str = "",
    just_now: OptionalId = None,
) -> Response:
    """Concerns of one state, newest first, narrowed as asked, and today's calls. `state=all` shows every one;
    `just_now`: what was heard in the last call.
    """
    kept = {"mine": "yes" if mine else "", "waiting_for": waiting_for, "module": module}
    with visit.reading() as desk:
        found = concern_list.list_concerns(
            desk, "" if state == "all" else state, q, mine=bool(mine), waiting_for=waiting_for, module=module
        )
        lines = clocks.overdue_first(desk, found)
        whole = state == "open" and not (q or any(kept.values()))
        own = clocks.overdue_first(desk, concern_list.list_concerns(desk, mine=True)) if whole else ()
        kinds = concern_list.open_by_kind(desk) if state == "open" and not q else None
        due_back = [one for one in sent_out.what_is_out(desk) if one.is_due]
        to_call = morning_calls.calls_this_morning(desk)
        proposed = proposals.waiting_and_answered(desk)
        going_on = starting.being_programmed(desk, {one.id for one in (*own, *lines) if not one.ending})
        answered_for = _answered_for(visit, desk)
    return visit.page(
        "home.html",
        place="/concerns",
        mine=own,
        lines=[one for one in lines if one not in own],
        state=state,
        kinds=kinds,
        narrowed={name: one for name, one in kept.items() if one},
        q=q,
        morning=to_call,
        due_back=due_back,
        going_on=going_on,
        just_now=just_now,
        proposed=proposed,
        beside=BESIDE,
        **answered_for,
    )


def _answered_for(visit: Visit, desk: Desk) -> dict[str, Any]:
    """What is shown to whoever answers for the shop."""
    if not visit.may("lead", "owner"):
        return {"raised": (), "waiting": (), "steps": None, "zones": ()}
    steps = first_steps.first_steps(desk)
    return {
        "raised": reports.standing_alarms(desk),
        "waiting": queues.waiting(desk),
        "steps": steps,
        "zones": identity.zones_offered() if steps and visit.may("owner") else (),
    }
