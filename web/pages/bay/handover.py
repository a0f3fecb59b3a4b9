"""For the next shift: what is next and who does it, the clocks that run, and the tag on the wheel."""

from __future__ import annotations

from functools import partial

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.handover import clocks, next_up
from kb.nouns.bay.clocks import ClockAsked, ClockKind
from web.forms import MILES, MINUTES
from web.pages.bay.concern import concern_page
from web.shown_again import shown_again
from web.visits import Somebody

router = APIRouter()

_again = shown_again(partial(concern_page, at="handover"))


@router.post("/concerns/{concern_id}/next")
@_again
def say_next(visit: Somebody, concern_id: int) -> Response:
    """The tapped line, or the typed one; an empty one takes it back."""
    typed = visit.typed
    with visit.writing() as desk:
        next_up.say_next(desk, concern_id, typed.text("other") or typed.text("what"), typed.text("who"))
    return visit.go(f"/concerns/{concern_id}")


@router.post("/concerns/{concern_id}/clocks")
@_again
def start_clock(visit: Somebody, concern_id: int) -> Response:
    typed = visit.typed
    asked = ClockAsked(
        typed.must_be_one_of("kind", ClockKind, "Say which clock it is: tap one."),
        typed.whole("minutes", "minutes", MINUTES),
        typed.text("until"),
        typed.whole("miles", "miles"),
        typed.whole("odometer", "odometer", MILES),
        typed.text("ends_with"),
        typed.text("remark"),
    )
    with visit.writing() as desk:
        started = clocks.start_clock(desk, concern_id, asked)
    back = "/release" if typed.text("back") == "release" else ""
    return visit.go(f"/concerns/{concern_id}{back}", said=f"Started: {started.said}.")


@router.post("/clocks/{clock_id}/end")
def end_clock(visit: Somebody, clock_id: int) -> Response:
    with visit.writing() as desk:
        concern_id = clocks.end_clock(desk, clock_id)
    return visit.go(f"/concerns/{concern_id}", said="The clock is ended.")


@router.get("/concerns/{concern_id}/tag/{clock_id}")
def tag(visit: Somebody, concern_id: int, clock_id: int) -> Response:
    """What hangs on the wheel while nobody may start or wake the vehicle."""
    with visit.reading() as desk:
        concern = read_concern(desk, concern_id)
        clock, until = clocks.tag_of(desk, concern_id, clock_id)
    return visit.page("papers/tag.html", place="/concerns", concern=concern, clock=clock, until=until)
