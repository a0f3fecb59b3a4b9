"""The owner's page of who did what, and whether the trail is whole."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.access import trail
from kb.errors import Conflict, KbError
from kb.nouns.shop.trail import TrailAsked
from web.query_values import day_asked, number_asked
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/shop/trail")


def _page(visit: Visit, refused: KbError | None = None) -> Response:
    said = visit.request.query_params
    asked = TrailAsked(
        said.get("who", "")[:80],
        said.get("noun", "")[:80],
        day_asked(said.get("day", ""), "day"),
        number_asked(said.get("before", ""), "before"),
    )
    with visit.reading() as desk:
        view = trail.read_trail(desk, asked)
    return visit.page("shop/trail.html", place="/shop", view=view, asked=asked, refused=refused)


@router.get("")
def show(visit: Somebody) -> Response:
    return _page(visit)


@router.post("/checked")
@shown_again(_page)
def check(visit: Somebody) -> Response:
    """Every line is read without holding anybody up; only what came of it is written."""
    with visit.reading() as desk:
        found = trail.check_trail(desk)
    with visit.writing() as desk:
        trail.note_check(desk, found)
    return visit.go("/shop/trail", said=found.says)


@router.post("/{line_id}/words-away")
@shown_again(lambda visit, line_id, refused=None: _page(visit, refused), Conflict)
def take_words_away(visit: Somebody, line_id: int) -> Response:
    with visit.writing() as desk:
        trail.take_words_away(desk, line_id)
    return visit.go("/shop/trail", said=f"The words of line {line_id} are gone; the line stays.")
