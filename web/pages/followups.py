"""Asking how vehicles do: the list of calls, and what was heard."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk import case, followups
from kb.errors import BadInput, KbError
from kb.nouns.concerns import FollowUpDraft, FollowUpResult
from web.files import csv_file
from web.forms import TypedForm
from web.visits import Somebody, Visit

router = APIRouter()
AT_ONCE = 25
"""Vehicles on the list before somebody asks for all of them."""


@router.get("/follow-ups")
def due(visit: Somebody) -> Response:
    """Vehicles to ask: their window has closed, a call was promised, or they are here again."""
    with visit.reading() as desk:
        calls = followups.due(desk)
    everyone = visit.request.query_params.get("all", "") == "yes"
    shown = calls if everyone else calls[:AT_ONCE]
    return visit.page("followups/due.html", place="/follow-ups", calls=shown, count=len(calls))


@router.get("/follow-ups.csv")
def call_list(visit: Somebody) -> Response:
    """The same list as a CSV file."""
    with visit.reading() as desk:
        return csv_file(followups.call_list_csv(desk), "follow-ups")


@router.post("/concerns/{concern_id}/promised-call")
def promise(visit: Somebody, concern_id: int) -> Response:
    """A call promised for a day: the list asks again on it."""
    try:
        on = visit.typed.must_day("on", "day of the call")
        with visit.writing() as desk:
            followups.promise_call(desk, concern_id, on)
    except KbError as refused:
        return _form(visit, concern_id, "list", refused)
    return visit.go("/follow-ups", said="Written down; the list asks again on that day.")


@router.get("/concerns/{concern_id}/follow-up")
def show(visit: Somebody, concern_id: int, back: str = "") -> Response:
    return _form(visit, concern_id, back)


@router.post("/concerns/{concern_id}/follow-up")
def record(visit: Somebody, concern_id: int) -> Response:
    typed = visit.typed
    try:
        draft = _draft(typed, visit.shop.facts.currency)
        with visit.writing() as desk:
            followups.record_follow_up(desk, concern_id, draft)
    except KbError as refused:
        return _form(visit, concern_id, typed.text("back"), refused)
    came_back = draft.result is FollowUpResult.CAME_BACK
    if came_back or typed.text("back") != "list":
        said = _counted(visit, concern_id) if came_back else "Written down."
        return visit.go(f"/concerns/{concern_id}", said=said)
    return visit.go("/follow-ups", said="Written down.")


def _counted(visit: Visit, concern_id: int) -> str:
    with visit.reading() as desk:
        if followups.counts_as_failed(desk, concern_id):
            return "Comeback counted; look at the next step."
    return (
        "Written down. It came back after the window of days or miles, so it counts as no comeback; "
        "check the day and the odometer if that is wrong."
    )


def _draft(typed: TypedForm, currency: str) -> FollowUpDraft:
    try:
        result = FollowUpResult(typed.text("result"))
    except ValueError:
        raise BadInput("Say how the vehicle does.", fields={"result": "tap one"}) from None
    return FollowUpDraft(
        result=result,
        seen_on=typed.must_day("seen_on", "day it was true"),
        odometer=typed.whole("odometer", "odometer"),
        how=typed.text("how"),
        remark=typed.text("remark"),
        cost_minor=typed.minor("cost", currency, "cost"),
    )


def _form(visit: Visit, concern_id: int, back: str, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        concern = case.read_concern(desk, concern_id)
    return visit.page(
        "followups/form.html",
        place="/follow-ups",
        status=422 if refused else 200,
        concern=concern,
        back=back,
        typed=visit.typed or None,
        refused=refused,
    )
