"""What is settled before a vehicle leaves, and letting it go."""

from __future__ import annotations

from api.deps import Id, SignedInCall
from api.routing import Router
from api.schemas.base import Word
from api.schemas.release import ReleaseBody, ReleaseOut, SettleBody, release_out
from kb.desk.bay.programming import release

router = Router(prefix="/concerns/{concern_id}/release", tags=["release"])


@router.get("")
def release_list(concern_id: Id, call: SignedInCall) -> ReleaseOut:
    """Every line with what was answered. Nothing is asked before programming was begun for the concern."""
    with call.reading() as desk:
        return release_out(release.release_list(desk, concern_id))


@router.put("/{item}")
def settle_release(concern_id: Id, item: Word, body: SettleBody, call: SignedInCall) -> ReleaseOut:
    """Answer one line under the caller's name."""
    with call.writing() as desk:
        release.settle_release(desk, concern_id, item, body.answer, body.said())
        return release_out(release.release_list(desk, concern_id))


@router.delete("/{item}")
def open_release_again(concern_id: Id, item: Word, call: SignedInCall) -> ReleaseOut:
    """Take back what was answered."""
    with call.writing() as desk:
        release.settle_release(desk, concern_id, item, "")
        return release_out(release.release_list(desk, concern_id))


@router.post("")
def release_vehicle(concern_id: Id, body: ReleaseBody, call: SignedInCall) -> ReleaseOut:
    """Let the vehicle go: with a line open only with a reason and the customer told (422 otherwise)."""
    with call.writing() as desk:
        release.release_vehicle(desk, concern_id, body.reason, customer_told=body.customer_told)
        return release_out(release.release_list(desk, concern_id))
