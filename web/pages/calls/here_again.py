"""A vehicle that was reflashed is here again: what was said of it, with one tap on the new concern."""

from __future__ import annotations

from functools import partial

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.calls import answers_here, what_was_heard
from kb.errors import Conflict
from kb.nouns.concerns import FollowUpResult, SaidHere
from web.answers_moved import with_moved
from web.pages.bay.concern import concern_page
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/concerns/{concern_id}/earlier/{earlier_id}")

_SAID = {
    SaidHere.STILL_FIXED: "still fixed.",
    SaidHere.NOT_ASKED: "written down as here and not asked. That makes no cure; the call list goes on.",
    SaidHere.SOMETHING_NEW: "something new, neither comeback nor cure.",
    SaidHere.NOT_SURE: "not sure yet, so nothing is counted.",
}


@router.post("")
@shown_again(partial(concern_page, at="earlier"), Conflict)
def answer(visit: Somebody, concern_id: int, earlier_id: int) -> Response:
    """One tap; after a comeback on asking it asks since when, and nobody has to know."""
    said = visit.typed.must_be_one_of("said", SaidHere, "Say how it does.")
    with visit.writing() as desk:
        heard = answers_here.answer_here(desk, concern_id, earlier_id, said)
    if said is SaidHere.CAME_BACK:
        moved = with_moved(visit, "", earlier_id).strip()
        return visit.go(f"/follow-ups/{heard}", said=moved, tapped="yes")
    words = f"The earlier reflash: {_SAID.get(said) or _old_one(visit, concern_id, earlier_id)}"
    counts = said in (SaidHere.STILL_FIXED, SaidHere.OLD_ONE)
    words = with_moved(visit, words, earlier_id) if counts else words
    return visit.go(f"/concerns/{concern_id}", said=words)


def _old_one(visit: Visit, concern_id: int, earlier_id: int) -> str:
    """It is back; whether it counts is told by its window, and by what else was done."""
    with visit.reading() as desk:
        day = read_concern(desk, concern_id).opened_on
        counts = what_was_heard.how_it_counts_in_words(desk, earlier_id, FollowUpResult.CAME_BACK, day)
    return f"it is back. {counts} What is in the vehicle is taken over."
