"""Recalls and campaigns that stand on a concern, and what its VIN was found to have of them."""

from __future__ import annotations

from api.deps import Id, SignedInCall
from api.routing import Router
from api.schemas.base import Word
from api.schemas.recalls import RecallBody, RecallLookUpBody, RecallsOut
from kb.desk.bay.concern import recalls
from kb.nouns.recalls import RecallResult

router = Router(prefix="/concerns/{concern_id}/recalls", tags=["concerns"])


@router.get("")
def list_recalls(concern_id: Id, call: SignedInCall) -> RecallsOut:
    """Every recall and campaign on file that covers the vehicle or may, whatever the complaint says."""
    with call.reading() as desk:
        return RecallsOut.of_concern(recalls.list_recalls(desk, concern_id))


@router.put("")
def put_recall_look_up(concern_id: Id, body: RecallLookUpBody, call: SignedInCall) -> RecallsOut:
    """The look-up by VIN found none open. The recall gate follows."""
    with call.writing() as desk:
        return RecallsOut.of_concern(recalls.put_look_up(desk, concern_id, RecallResult(body.result)))


@router.put("/{number}")
def put_recall(concern_id: Id, number: Word, body: RecallBody, call: SignedInCall) -> RecallsOut:
    """What the look-up by VIN said of one, on file here or not. The recall gate follows."""
    with call.writing() as desk:
        result = RecallResult(body.result)
        return RecallsOut.of_concern(recalls.put_recall(desk, concern_id, number, result, body.touches))
