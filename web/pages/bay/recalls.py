"""What a look-up by VIN said of recalls, tapped on the concern page, which shows itself again."""

from __future__ import annotations

from functools import partial

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.concern import recalls
from kb.errors import BadInput
from kb.nouns.recalls import RecallResult
from web.forms import TypedForm
from web.pages.bay.concern import concern_page
from web.shown_again import shown_again
from web.visits import Somebody

router = APIRouter(prefix="/concerns/{concern_id}/recalls")


@router.post("")
@shown_again(partial(concern_page, at="recalls"))
def put_recall(visit: Somebody, concern_id: int) -> Response:
    """A number and what it is; without a number, `none_open` is said of all of them."""
    typed = visit.typed
    number, touches = typed.text("number"), typed.text("touches")
    result = _result(typed)
    with visit.writing() as desk:
        if result is RecallResult.NONE_OPEN or not (number or result):
            recalls.put_look_up(desk, concern_id, result)
        else:
            said = None if not touches else touches == "yes"
            recalls.put_recall(desk, concern_id, number, result, said)
    return visit.go(f"/concerns/{concern_id}")


def _result(typed: TypedForm) -> RecallResult:
    try:
        return RecallResult(typed.text("result"))
    except ValueError:
        wrong = "A recall is open, not for this VIN, or done."
        raise BadInput(wrong, fields={"result": wrong}) from None
