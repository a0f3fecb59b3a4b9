"""Asking how vehicles do: the list of calls, and what was heard."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk import case, followups, hearing
from kb.desk.views import ConcernView
from kb.errors import BadInput, KbError, NotFound
from kb.nouns.concerns import FollowUpDraft, FollowUpResult
from kb.nouns.days import day_words
from web.files import csv_file
from web.forms import TypedForm
from web.visits import Somebody, Visit
from web.words import vehicle

router = APIRouter()
AT_ONCE = 25
"""Vehicles on the list before somebody asks for all of them."""
_FAILED = {FollowUpResult.CAME_BACK, FollowUpResult.OTHER_CAUSE}
_SAID = {
    FollowUpResult.FINE: "still fine.",
    FollowUpResult.NO_ANSWER: "tried, no answer. It stays on the list.",
    FollowUpResult.NEW_COMPLAINT: (
        "a new complaint. That says nothing of the first one, so it stays on the list; "
        "open a concern for the new one."
    ),
    FollowUpResult.UPDATED_BY_AIR: "updated over the air since; what comes later counts no more.",
    FollowUpResult.SOLD: "sold or gone. Nobody asks any more.",
}
_COUNTS = {
    FollowUpResult.CAME_BACK: "Comeback counted; look at the next step.",
    FollowUpResult.OTHER_CAUSE: "It counts as not cured: another cause was found.",
}
_AFTER = (
    "Written down. That was after the window of days or miles, so it counts as no comeback; "
    "check the day and the odometer if that is wrong."
)


@router.get("/follow-ups")
def due(visit: Somebody) -> Response:
    """Vehicles to ask: their window has closed, a call was promised, or they are here again."""
    asked = visit.request.query_params
    with visit.reading() as desk:
        calls = followups.due(desk)
    shown = calls if asked.get("all", "") == "yes" else calls[:AT_ONCE]
    just_now = asked.get("just_now", "")
    return visit.page(
        "followups/due.html", place="/follow-ups", calls=shown, count=len(calls), just_now=just_now
    )


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
        return _form(visit, concern_id, refused)
    return visit.go("/follow-ups", said=f"Written down; the list asks again on {day_words(on)}.")


@router.get("/concerns/{concern_id}/follow-up")
def show(visit: Somebody, concern_id: int) -> Response:
    return _form(visit, concern_id)


@router.post("/concerns/{concern_id}/follow-up")
def record(visit: Somebody, concern_id: int) -> Response:
    """From the form, or with one tap on the list; a bad answer from the list then asks since when."""
    typed = visit.typed
    tapped = typed.ticked("tapped")
    try:
        draft = _draft(visit, unknown=tapped, heard_on=visit.today())
        with visit.writing() as desk:
            heard = hearing.record_follow_up(desk, concern_id, draft)
            concern = case.read_concern(desk, concern_id)
    except KbError as refused:
        return _form(visit, concern_id, refused)
    if tapped and draft.result in _FAILED:
        return visit.go(f"/follow-ups/{heard}", tapped="yes")
    return _answer(visit, concern, draft, heard)


@router.get("/follow-ups/{follow_up_id}")
def show_heard(visit: Somebody, follow_up_id: int) -> Response:
    with visit.reading() as desk:
        concern_id, heard = hearing.read_follow_up(desk, follow_up_id)
    return _form(visit, concern_id, heard=heard, follow_up_id=follow_up_id)


@router.post("/follow-ups/{follow_up_id}")
def put_right(visit: Somebody, follow_up_id: int) -> Response:
    with visit.reading() as desk:
        concern_id, was = hearing.read_follow_up(desk, follow_up_id)
    try:
        heard_on = visit.today() if was.day_known else was.seen_on
        draft = _draft(visit, unknown=False, heard_on=heard_on)
        with visit.writing() as desk:
            hearing.correct_follow_up(desk, follow_up_id, draft)
            concern = case.read_concern(desk, concern_id)
    except NotFound:
        raise
    except KbError as refused:
        return _form(visit, concern_id, refused, was, follow_up_id)
    return _answer(visit, concern, draft, follow_up_id)


@router.post("/follow-ups/{follow_up_id}/take-back")
def take_back(visit: Somebody, follow_up_id: int) -> Response:
    with visit.writing() as desk:
        concern = case.read_concern(desk, hearing.take_back(desk, follow_up_id))
    there = "/follow-ups" if visit.typed.text("back") == "list" else f"/concerns/{concern.id}"
    still_open = " The concern stays open." if concern.state == "open" else ""
    return visit.go(there, said=f"{_name(concern)}: taken back.{still_open}")


def _answer(visit: Visit, concern: ConcernView, draft: FollowUpDraft, heard: int) -> Response:
    if draft.result in _FAILED:
        with visit.reading() as desk:
            counts = hearing.counts_as_failed(desk, concern.id)
        said = _COUNTS[draft.result] if counts else _AFTER
        return visit.go(f"/concerns/{concern.id}", said=f"{_name(concern)}: {said}")
    said = f"{_name(concern)}: {_SAID[draft.result]}"
    if visit.typed.text("back") == "list":
        return visit.go("/follow-ups", said=said, just_now=str(heard))
    return visit.go(f"/concerns/{concern.id}", said=said)


def _name(concern: ConcernView) -> str:
    return f"{concern.ref} {vehicle(concern.vehicle)}".strip()


def _draft(visit: Visit, *, unknown: bool, heard_on: date) -> FollowUpDraft:
    """What the form says. Of a failure the day must be said, or that nobody knows: ticked, or `unknown`."""
    typed, currency = visit.typed, visit.shop.facts.currency
    result = typed.must_be_one_of("result", FollowUpResult, "Say how the vehicle does.")
    draft = FollowUpDraft(
        result=result,
        seen_on=typed.day("seen_on", "day") or heard_on,
        odometer=typed.whole("odometer", "odometer"),
        how=typed.text("how"),
        remark=typed.text("remark"),
        cost_minor=typed.minor("cost", currency, "cost"),
    )
    return _since(typed, draft, unknown, heard_on) if result in _FAILED else draft


def _since(typed: TypedForm, draft: FollowUpDraft, unknown: bool, heard_on: date) -> FollowUpDraft:
    """A day that is typed wins over the tick: whoever puts it right need not find the tick as well."""
    if typed.text("seen_on"):
        return draft
    if not (typed.ticked("nobody_knows") or unknown):
        sentence = "Since when? Enter the day, an estimate will do, or tick that nobody knows."
        raise BadInput(sentence, fields={"seen_on": sentence})
    return replace(draft, seen_on=heard_on, day_known=False)


def _form(
    visit: Visit,
    concern_id: int,
    refused: KbError | None = None,
    heard: FollowUpDraft | None = None,
    follow_up_id: int | None = None,
) -> Response:
    asked = visit.request.query_params
    with visit.reading() as desk:
        concern = case.read_concern(desk, concern_id)
        window_ends_on = hearing.window_ends_on(desk, concern_id)
    return visit.page(
        "followups/form.html",
        place="/follow-ups",
        status=422 if refused else 200,
        concern=concern,
        window_ends_on=window_ends_on,
        heard=heard,
        follow_up_id=follow_up_id,
        tapped=asked.get("tapped", "") == "yes",
        back=visit.typed.text("back") or asked.get("back", ""),
        chosen=heard.result.value if heard else asked.get("result", ""),
        typed=visit.typed or None,
        refused=refused,
    )
