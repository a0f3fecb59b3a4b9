"""What an open concern waits for."""

from __future__ import annotations

from api.deps import Id, SignedInCall
from api.description.refusals import CONFLICT
from api.routing import Router
from api.schemas.concerns import WaitingBody
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.handover import waiting
from kb.nouns.bay.waiting import Waiting

router = Router(prefix="/concerns/{concern_id}/waiting", tags=["concerns"])


@router.put("", responses=CONFLICT)
def wait_for(concern_id: Id, body: WaitingBody, call: SignedInCall) -> Waiting | None:
    """Say what it waits for, in place of what was said before. A closed concern: 409."""
    with call.writing() as desk:
        waiting.wait_for(desk, concern_id, body.waiting_for, body.remark)
        return read_concern(desk, concern_id).waiting


@router.delete("", status_code=204, responses=CONFLICT)
def go_on(concern_id: Id, call: SignedInCall) -> None:
    """It waits no longer. One that is out, of which nothing came back: 409."""
    with call.writing() as desk:
        waiting.go_on(desk, concern_id)
