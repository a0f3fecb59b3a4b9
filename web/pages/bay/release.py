"""What is settled before a vehicle leaves, and letting it go."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.handover import clocks
from kb.desk.bay.programming import release as release_desk
from kb.errors import KbError
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/concerns/{concern_id}/release")

# What goes with an answer, by the names of its form's fields.
_SAID = ("source", "how", "done_by", "proof", "before", "after", "label", "cvn", "vin")


def _page(visit: Visit, concern_id: int, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        concern = read_concern(desk, concern_id)
        release = release_desk.release_list(desk, concern_id)
        running, asked = clocks.clocks_on(desk, concern), clocks.asked_by_relearns(desk, release)
    return visit.page(
        "programming/release.html",
        place="/concerns",
        concern=concern,
        release=release,
        running=running,
        relearn_clocks=asked,
        refused=refused,
    )


@router.get("")
def show(visit: Somebody, concern_id: int) -> Response:
    """What must be true before the vehicle leaves, and the ways to close."""
    return _page(visit, concern_id)


@router.post("")
@shown_again(_page)
def settle(visit: Somebody, concern_id: int) -> Response:
    """One line; an empty result opens it again."""
    typed = visit.typed
    said = {name: typed.text(name) for name in _SAID}
    with visit.signed().writing() as desk:
        release_desk.settle_release(desk, concern_id, typed.text("item"), typed.text("result"), said)
    return visit.go(f"/concerns/{concern_id}/release#line-{typed.text('item')}")


@router.post("/go")
@shown_again(_page)
def let_go(visit: Somebody, concern_id: int) -> Response:
    """The vehicle leaves, by name; with lines open with a reason and the customer told."""
    typed = visit.typed
    with visit.signed().writing() as desk:
        release_desk.release_vehicle(
            desk, concern_id, typed.text("reason"), customer_told=typed.ticked("customer_told")
        )
    return visit.go(f"/concerns/{concern_id}/release", said=f"Released as {visit.name_of(visit.actor.name)}")
