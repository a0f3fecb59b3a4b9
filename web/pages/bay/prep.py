"""Preparing a module for programming, doing it, and what to do when it fails."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.advice import advice
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.programming import prep, starting
from kb.errors import KbError
from web.pages.bay.on_concern import on_concern
from web.query_values import OptionalId
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/concerns/{concern_id}")


def _prep_page(
    visit: Visit, concern_id: int, update: int | None = None, refused: KbError | None = None
) -> Response:
    update = visit.typed.whole("update") if refused else update
    with visit.reading() as desk:
        context = on_concern(desk, concern_id)
        listed = prep.prep_list(desk, concern_id, update)
        said = advice.give_advice(desk, concern_id)
    return visit.page(
        "programming/prep.html",
        advice=said,
        lift_back="prep",
        place="/concerns",
        prep=listed,
        update=update,
        refused=refused,
        address=f"/concerns/{concern_id}/prep" + ("" if update is None else f"?update={update}"),
        **context,
    )


@router.get("/prep")
def show(visit: Somebody, concern_id: int, update: OptionalId = None) -> Response:
    return _prep_page(visit, concern_id, update)


@router.post("/prep/tick")
@shown_again(_prep_page)
def tick(visit: Somebody, concern_id: int) -> Response:
    typed = visit.typed
    update = typed.whole("update")
    with visit.signed().writing() as desk:
        prep.tick(desk, concern_id, typed.text("item"), typed.text("measured"), update)
    return _back(visit, concern_id, update, at=_line(visit))


@router.post("/prep/pass")
@shown_again(_prep_page)
def pass_over(visit: Somebody, concern_id: int) -> Response:
    typed = visit.typed
    update = typed.whole("update")
    with visit.writing() as desk:
        item, reason = typed.text("item"), typed.text("reason")
        prep.pass_over(desk, concern_id, item, reason, update, typed.text("measured"))
    return _back(visit, concern_id, update, at=_line(visit))


@router.post("/prep/window")
@shown_again(_prep_page)
def confirm_window(visit: Somebody, concern_id: int) -> Response:
    """A lead lets a printed window past the usual limits count."""
    typed = visit.typed
    update = typed.whole("update")
    with visit.writing() as desk:
        prep.confirm_window(desk, concern_id, typed.text("item"), typed.text("source"), update)
    return _back(visit, concern_id, update, "The printed window counts from now on.")


@router.post("/prep/sign")
def sign(visit: Somebody, concern_id: int) -> Response:
    """One signature for everything read at one place; measured values and blockers stay open."""
    typed = visit.typed
    update = typed.whole("update")
    with visit.writing() as desk:
        signed = prep.sign_place(desk, concern_id, typed.text("place"), update)
    said = (
        f"{signed} signed as {visit.name_of(visit.actor.name)}"
        if signed
        else "What is left needs a value or a reason."
    )
    return _back(visit, concern_id, update, said, at=f"place-{typed.text('place').replace(' ', '-')}")


@router.post("/prep/replaced")
@shown_again(_prep_page)
def go_on_with_replaced(visit: Somebody, concern_id: int) -> Response:
    """The stop of a replaced module is passed, by name, once its own list is settled."""
    update = visit.typed.whole("update")
    with visit.writing() as desk:
        prep.go_on_with_replaced(desk, concern_id, update)
    return _back(visit, concern_id, update, f"Its list is settled, says {visit.name_of(visit.actor.name)}.")


@router.post("/prep/untick")
def untick(visit: Somebody, concern_id: int) -> Response:
    with visit.writing() as desk:
        prep.untick(desk, concern_id, visit.typed.text("item"))
    return _back(visit, concern_id, visit.typed.whole("update"), at=_line(visit))


@router.get("/during")
def during(visit: Somebody, concern_id: int, update: OptionalId = None) -> Response:
    """Big words while the module is being programmed, and one button; nobody gets here past an open line,
    but where it was started already whoever has the tablet by now does.
    """
    with visit.reading() as desk:
        started = read_concern(desk, concern_id).being_programmed
        ready = started or prep.prep_list(desk, concern_id, update).ready
    if not ready:
        return _back(visit, concern_id, update, "Settle what is open here before you start.")
    return _plain(visit, concern_id, "programming/during.html", update)


@router.post("/prep/start")
@shown_again(_prep_page)
def start(visit: Somebody, concern_id: int) -> Response:
    typed = visit.typed
    update = typed.whole("update")
    with visit.writing() as desk:
        starting.start(desk, concern_id, update, confirmed=typed.ticked("confirmed"))
    return visit.go(f"/concerns/{concern_id}/during", **({} if update is None else {"update": str(update)}))


@router.post("/prep/not-started")
def not_started(visit: Somebody, concern_id: int) -> Response:
    with visit.writing() as desk:
        starting.not_started(desk, concern_id)
    return visit.go(f"/concerns/{concern_id}", "Taken back: nothing was programmed.")


def _plain(visit: Visit, concern_id: int, template: str, update: int | None) -> Response:
    with visit.reading() as desk:
        concern = read_concern(desk, concern_id)
        listed = prep.prep_list(desk, concern_id, update)
    return visit.page(template, place="/concerns", concern=concern, prep=listed, update=update)


def _back(visit: Visit, concern_id: int, update: int | None, said: str = "", at: str = "") -> Response:
    """To the list again; `at` is the place on it where the hand was."""
    asked = {} if update is None else {"update": str(update)}
    return visit.go(f"/concerns/{concern_id}/prep{at and '#'}{at}", said, **asked)


def _line(visit: Visit) -> str:
    return f"line-{visit.typed.text('item')}"
