"""Asking how vehicles do: the list of calls, and what was heard."""

from __future__ import annotations

from dataclasses import replace

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.concern.as_it_stands import how_it_stands
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.calls import call_list, what_was_heard, whom_to_call
from kb.desk.calls.what_was_heard import FollowUpOnFile
from kb.errors import KbError, NotFound
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.concerns import FAILED, NOTHING_SAID, FollowUpDraft, FollowUpResult, HowHeard
from kb.nouns.days import day_words
from web import follow_up_form
from web.answers_moved import with_moved
from web.downloads import csv_file
from web.labels import word
from web.query_values import OptionalId
from web.shown_again import shown_again
from web.visits import Somebody, Visit
from web.words import vehicle

router = APIRouter()
AT_ONCE = 25
"""Vehicles on the list before somebody asks for all of them."""
_BACK = {"list": "/follow-ups", "home": "/concerns"}
_SAID = {
    FollowUpResult.FINE: "still fine.",
    FollowUpResult.NO_ANSWER: "tried, no answer. The list goes on asking.",
    FollowUpResult.NEW_COMPLAINT: (
        "a new complaint. That says nothing of the first one, so the list goes on asking about that; "
        "open a concern for the new one."
    ),
    FollowUpResult.UPDATED_BY_AIR: "updated over the air since; what comes later counts no more.",
    FollowUpResult.SOLD: "sold or gone. Nobody asks any more.",
    FollowUpResult.SEEN_NOT_ASKED: "here for something else, not asked. The list asks when it is time.",
}


def _form(
    visit: Visit,
    concern_id: int,
    refused: KbError | None = None,
    was: FollowUpOnFile | None = None,
    follow_up_id: int | None = None,
) -> Response:
    asked = visit.request.query_params
    heard = was.draft if was else None
    back = visit.typed.text("back") or asked.get("back", "")
    with visit.reading() as desk:
        concern = read_concern(desk, concern_id)
        window_ends_on = what_was_heard.window_ends_on(desk, concern_id)
    return visit.page(
        "followups/form.html",
        place="/follow-ups",
        concern=concern,
        window_ends_on=window_ends_on,
        heard=heard,
        version=was.version if was else 0,
        follow_up_id=follow_up_id,
        tapped=asked.get("tapped", "") == "yes" and heard is not None and not heard.day_known,
        back=back,
        leave_to=_BACK.get(back, f"/concerns/{was.at_visit}" if was and was.at_visit else "/follow-ups"),
        chosen=heard.result.value if heard else asked.get("result", ""),
        refused=refused,
    )


@router.get("/follow-ups")
def due(visit: Somebody, update: OptionalId = None) -> Response:
    """Vehicles to ask: their window has closed, a call was promised, or they are here again.

    With `update`, those of its vehicles that are drawn for today.
    """
    asked = visit.request.query_params
    with visit.reading() as desk:
        calls = call_list.due(desk)
        first = whom_to_call.whom_to_call(desk, update) if update else None
    everyone = asked.get("all", "") == "yes"
    return visit.page(
        "followups/due.html",
        place="/follow-ups",
        calls=first.calls if first else calls if everyone else calls[:AT_ONCE],
        first=first,
        count=len(calls),
        everyone=everyone,
        just_now=asked.get("just_now", ""),
    )


@router.get("/follow-ups.csv")
def call_list_file(visit: Somebody) -> Response:
    """The same list as a CSV file."""
    with visit.reading() as desk:
        return csv_file(call_list.call_list_csv(desk), "follow-ups")


@router.post("/concerns/{concern_id}/promised-call")
@shown_again(_form, KbError)
def promise(visit: Somebody, concern_id: int) -> Response:
    """A call promised for a day: the list asks again on it."""
    on = visit.typed.must_day("on", "day of the call")
    with visit.writing() as desk:
        call_list.promise_call(desk, concern_id, on)
    return visit.go("/follow-ups", said=f"Written down; the list asks again on {day_words(on)}.")


@router.get("/concerns/{concern_id}/follow-up")
def show(visit: Somebody, concern_id: int) -> Response:
    return _form(visit, concern_id)


@router.post("/concerns/{concern_id}/follow-up")
@shown_again(_form, KbError)
def record(visit: Somebody, concern_id: int) -> Response:
    """From the form, or with one tap on the list; a bad answer from the list then asks since when."""
    typed = visit.typed
    tapped = typed.ticked("tapped")
    draft = follow_up_form.draft(typed, visit.shop.facts.currency, visit.today(), unknown=tapped)
    draft = replace(draft, heard=HowHeard.ASKED) if tapped else draft
    with visit.writing() as desk:
        heard = what_was_heard.record_follow_up(desk, concern_id, draft)
        concern = read_concern(desk, concern_id)
    if tapped and draft.result in FAILED:
        said = with_moved(visit, "", concern_id).strip()
        return visit.go(f"/follow-ups/{heard}", said=said, tapped="yes", back=typed.text("back"))
    return _answer(visit, concern, draft, heard)


@router.get("/follow-ups/{follow_up_id}")
def show_heard(visit: Somebody, follow_up_id: int) -> Response:
    with visit.reading() as desk:
        was = what_was_heard.read_follow_up(desk, follow_up_id)
    return _form(visit, was.concern_id, was=was, follow_up_id=follow_up_id)


@router.post("/follow-ups/{follow_up_id}")
def put_right(visit: Somebody, follow_up_id: int) -> Response:
    with visit.reading() as desk:
        was = what_was_heard.read_follow_up(desk, follow_up_id)
    try:
        draft = follow_up_form.draft(visit.typed, visit.shop.facts.currency, was.heard_on, was.draft)
        with visit.writing() as desk:
            version = visit.typed.must_whole("version", "version")
            what_was_heard.correct_follow_up(desk, follow_up_id, version, draft)
            concern = read_concern(desk, was.concern_id)
    except NotFound:
        raise
    except KbError as refused:
        return _form(visit, was.concern_id, refused, was, follow_up_id)
    return _answer(visit, concern, draft, follow_up_id, was)


@router.post("/follow-ups/{follow_up_id}/take-back")
def take_back(visit: Somebody, follow_up_id: int) -> Response:
    with visit.writing() as desk:
        at_visit = what_was_heard.read_follow_up(desk, follow_up_id).at_visit
        concern = read_concern(desk, what_was_heard.take_back(desk, follow_up_id))
    there = _back_to(visit, f"/concerns/{at_visit or concern.id}")
    still_open = " The concern stays open." if concern.state == "open" else ""
    return visit.go(there, said=f"{_name(concern)}: taken back.{still_open}")


def _answer(
    visit: Visit,
    concern: ConcernFile,
    draft: FollowUpDraft,
    heard: int,
    was: FollowUpOnFile | None = None,
) -> Response:
    """`was`: what it said before, where it was put right."""
    here = f"/concerns/{was.at_visit if was and was.at_visit else concern.id}"
    if draft.result in FAILED:
        with visit.reading() as desk:
            counts = what_was_heard.how_it_counts_in_words(desk, concern.id, draft.result, draft.seen_on)
        there = here if visit.typed.text("back") != "home" else "/concerns"
        return visit.go(
            there, said=with_moved(visit, f"{_name(concern)}: written down. {counts}", concern.id)
        )
    reopened = was is not None and was.draft.result in FAILED
    still_open = " The concern stays open." if reopened and concern.state == "open" else ""
    said = f"{_name(concern)}: {_SAID[draft.result]}{_contrary(visit, concern, draft)}{still_open}"
    said = said if draft.result in NOTHING_SAID else with_moved(visit, said, concern.id)
    there = _back_to(visit, here)
    if there == here:
        return visit.go(here, said=said)
    more = {"all": "yes"} if visit.typed.ticked("all") else {}
    more |= {"update": visit.typed.text("update")} if visit.typed.text("update") else {}
    return visit.go(there, said=said, just_now=str(heard), **more)


def _back_to(visit: Visit, here: str) -> str:
    """The list or the start page where the tap came from one, else `here`."""
    return _BACK.get(visit.typed.text("back"), here)


def _contrary(visit: Visit, concern: ConcernFile, draft: FollowUpDraft) -> str:
    """The failure heard of since the last reflash, which a good answer does not undo."""
    if draft.result is not FollowUpResult.FINE:
        return ""
    with visit.reading() as desk:
        after = how_it_stands(desk, concern.id).after
    if after is None or after.failed is None:
        return ""
    last = after.failed.said
    told = f"{word(last.result, 'follow_up')} ({day_words(last.seen_on)}, {visit.name_of(after.failed.by)})"
    return f" But “{told}” stands beside it and keeps counting; change what is wrong on the concern."


def _name(concern: ConcernFile) -> str:
    return f"{concern.ref} {vehicle(concern.vehicle)}".strip()
