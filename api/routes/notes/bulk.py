"""Changing many notes at once, and taking it back."""

from __future__ import annotations

from api.after_the_answer import CALL_WAITS, run_apart
from api.deps import Id, SignedInCall
from api.description.refusals import CONFLICT
from api.routing import Router
from api.schemas.bulk_changes import BulkBody, BulkOut, BulkPlanOut
from api.security import Call
from kb.desk.notes import bulk, bulk_undo

router = Router(prefix="/notes/bulk", tags=["notes"])


@router.post("/plan")
def plan_bulk(body: BulkBody, call: SignedInCall) -> BulkPlanOut:
    """What a change would do. Nothing is saved."""
    with call.reading() as desk:
        return BulkPlanOut.of(bulk.plan_bulk(desk, body.ask(), body.chosen()))


@router.post("", status_code=201, responses=CONFLICT)
def change_notes(body: BulkBody, call: SignedInCall) -> BulkOut:
    """Change the notes. What cannot be changed is left and listed; many go on after the answer."""
    with call.writing() as desk:
        bulk_id, ids = bulk.begin_bulk(desk, body.ask(), body.chosen(), body.expected)
    call.settle()
    run_apart(lambda: bulk.carry_on_bulk(call.shop, call.actor, bulk_id, ids), CALL_WAITS)
    return _out(call, bulk_id)


@router.get("")
def list_bulks(call: SignedInCall) -> list[BulkOut]:
    """The last changes of many notes, the newest first."""
    with call.reading() as desk:
        return [BulkOut.told(one) for one in bulk.list_bulks(desk)]


@router.get("/{bulk_id}")
def read_bulk(bulk_id: Id, call: SignedInCall) -> BulkOut:
    """How far it is, and what was left."""
    return _out(call, bulk_id)


@router.post("/{bulk_id}/undo")
def undo_bulk(bulk_id: Id, call: SignedInCall) -> BulkOut:
    """Put every note back as it was; what was edited since stays and is listed."""
    bulk_undo.undo_bulk(call.shop, call.actor, bulk_id)
    return _out(call, bulk_id)


def _out(call: Call, bulk_id: int) -> BulkOut:
    with call.reading() as desk:
        return BulkOut.told(bulk.read_bulk(desk, bulk_id))
