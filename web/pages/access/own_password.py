"""A person's own password, changed by the old one."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.access import own_password, passwords
from kb.errors import BadInput, KbError, TooMany
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/me/password")


def _page(visit: Visit, refused: KbError | None = None) -> Response:
    return visit.page("me/password.html", refused=refused, shortest=passwords.SHORTEST)


@router.get("")
def show(visit: Somebody) -> Response:
    return _page(visit)


@router.post("")
@shown_again(_page, BadInput, TooMany)
def change(visit: Somebody) -> Response:
    """The one that is typed, or one made up, which is shown once."""
    made = passwords.made_up() if visit.typed.ticked("made_up") else ""
    own_password.change_own_password(
        visit.shop,
        visit.actor,
        visit.typed.raw("old_password"),
        made or visit.typed.raw("password"),
        device=visit.device(),
    )
    if made:
        return visit.page("me/made_up.html", whose=visit.visitor, made=made, own=True)
    return visit.go(
        "/", said="Your password is changed. Every other sign-in of yours has ended, and every token."
    )
