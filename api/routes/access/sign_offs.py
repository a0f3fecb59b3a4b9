"""Who is signed off for which work, and whose access to manufacturers ends when."""

from __future__ import annotations

from api.deps import Id, SignedInCall
from api.routing import Router
from api.schemas.base import Day, Word
from api.schemas.people import AccessBody, PersonSignOffs, SignOffBody
from kb.desk.shop import own_access, sign_offs, who_needs_signing
from kb.nouns.shop.sign_offs import Access, AccessDraft, SignedOff, SignOff, SignOffDraft, WorkKind
from kb.nouns.shop.who_needs_signing import WhoNeedsSigning

router = Router(tags=["people"])


@router.get("/sign-offs")
def who_is_signed_off(
    call: SignedInCall, kind: WorkKind, make: Word = "", on: Day | None = None
) -> SignedOff:
    """Who may do a kind of work on a make on a day (today). With `recorded` false nothing is held back."""
    with call.reading() as desk:
        return sign_offs.signed_off(desk, make, [kind], on)


@router.get("/sign-offs/needed")
def who_needs_signing_off(call: SignedInCall) -> WhoNeedsSigning:
    """For the lead and the owner: work without a sign-off, makes that nobody may do, what ends."""
    with call.reading() as desk:
        return who_needs_signing.who_needs_signing(desk)


@router.get("/users/{user_id}/sign-offs")
def sign_offs_of_person(user_id: Id, call: SignedInCall) -> PersonSignOffs:
    """Your own; anybody's for the lead and the owner."""
    with call.reading() as desk:
        return PersonSignOffs(
            sign_offs=sign_offs.sign_offs_of(desk, user_id),
            own_access=own_access.accesses_of(desk, user_id),
        )


@router.post("/users/{user_id}/sign-offs", status_code=201)
def sign_somebody_off(user_id: Id, body: SignOffBody, call: SignedInCall) -> tuple[SignOff, ...]:
    """For the lead and the owner: from today."""
    with call.writing() as desk:
        return sign_offs.sign_off(desk, user_id, body.as_value(SignOffDraft))


@router.post("/sign-offs/{sign_off_id}/end")
def end_sign_off(sign_off_id: Id, call: SignedInCall) -> SignOff:
    """For the lead and the owner: it counts no more from today on."""
    with call.writing() as desk:
        return sign_offs.end_sign_off(desk, sign_off_id)


@router.post("/users/{user_id}/access", status_code=201)
def add_access(user_id: Id, body: AccessBody, call: SignedInCall) -> Access:
    """For the lead and the owner: a credential or registration that is this person's own."""
    with call.writing() as desk:
        return own_access.add_access(desk, user_id, body.as_value(AccessDraft))


@router.post("/access/{access_id}/end")
def end_access(access_id: Id, call: SignedInCall) -> Access:
    """For the lead and the owner: renewed, or not used any more."""
    with call.writing() as desk:
        return own_access.end_access(desk, access_id)
