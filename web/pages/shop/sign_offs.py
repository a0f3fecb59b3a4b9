"""A person's sign-offs, and their own access to manufacturers: seen by lead, owner and that person."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.access import accounts
from kb.desk.bay.concern import odd_entries
from kb.desk.shop import own_access, sign_offs, who_needs_signing
from kb.errors import BadInput, KbError, NotFound
from kb.nouns.shop.sign_offs import AccessDraft, AccessKind, SignOffDraft, WorkKind
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/shop/people/{user_id}")


def _page(visit: Visit, user_id: int, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        signed = sign_offs.sign_offs_of(desk, user_id)
        own = own_access.accesses_of(desk, user_id)
        person = next((one for one in accounts.list_users(desk) if one.id == user_id), None)
        needs = who_needs_signing.who_needs_signing(desk) if visit.may("lead", "owner") else None
    if person is None:
        raise NotFound("There is no such account.")
    lacks = needs.of(person.name) if needs else ()
    make = visit.request.query_params.get("make", "")
    return visit.page(
        "shop/sign_offs.html",
        place="/shop",
        refused=refused,
        person=person,
        signed=signed,
        own=own,
        lacks=lacks,
        asked=next((one.work for one in lacks if make and one.work.make == make), None),
        no_secrets=sign_offs.NO_SECRETS,
    )


@router.get("/sign-offs")
def show(visit: Somebody, user_id: int) -> Response:
    return _page(visit, user_id)


@router.post("/sign-offs")
@shown_again(_page)
def sign_off(visit: Somebody, user_id: int) -> Response:
    """Each kind that is ticked, on each make that is named; none named: every make."""
    typed = visit.typed
    wrong = [one for one in typed.all("kinds") if one not in set(WorkKind)]
    if wrong:
        raise BadInput("Choose from the kinds of work listed.", fields={"kinds": "choose from these"})
    draft = SignOffDraft(
        kinds=tuple(WorkKind(one) for one in typed.all("kinds")),
        makes=tuple(filter(None, (one.strip() for one in typed.text("makes").split(",")))),
        trained_on=typed.day("trained_on", "day of the training"),
        trained_what=typed.text("trained_what"),
        valid_to=typed.day("valid_to", "last day", ahead=True),
        newcomer=typed.ticked("newcomer"),
        note=typed.text("note"),
    )
    with visit.signed().writing() as desk:
        slipped = odd_entries.unknown_makes(desk, draft.makes)
        sign_offs.sign_off(desk, user_id, draft)
    return visit.go(f"/shop/people/{user_id}/sign-offs", said=" ".join(("Signed off.", *slipped)))


@router.post("/sign-offs/{sign_off_id}/end")
@shown_again(_page)
def end_sign_off(visit: Somebody, user_id: int, sign_off_id: int) -> Response:
    with visit.signed().writing() as desk:
        sign_offs.end_sign_off(desk, sign_off_id)
    return visit.go(f"/shop/people/{user_id}/sign-offs", said="It counts no more from today on.")


@router.post("/access")
@shown_again(_page)
def add_access(visit: Somebody, user_id: int) -> Response:
    """Somebody's own credential or registration: for which make, and its last day."""
    typed = visit.typed
    draft = AccessDraft(
        kind=typed.must_be_one_of("kind", AccessKind, "kind of access"),
        make=typed.text("make"),
        ends_on=typed.day("ends_on", "last day", ahead=True),
        note=typed.text("access_note"),
    )
    with visit.writing() as desk:
        slipped = odd_entries.unknown_makes(desk, (draft.make,))
        own_access.add_access(desk, user_id, draft)
    return visit.go(f"/shop/people/{user_id}/sign-offs", said=" ".join(("Saved.", *slipped)))


@router.post("/access/{access_id}/end")
def end_access(visit: Somebody, user_id: int, access_id: int) -> Response:
    with visit.writing() as desk:
        own_access.end_access(desk, access_id)
    return visit.go(f"/shop/people/{user_id}/sign-offs", said="Taken out.")
