"""Signing in and out, and the people of the shop."""

from __future__ import annotations

from fastapi import Request, Response

from api import security
from api.connection import cookies
from api.deps import AnyCall, Id, SignedInCall
from api.description.refusals import CONFLICT
from api.routing import Router
from api.schemas.people import MeOut, PasswordIn, SignInBody, UserChange, UserIn
from api.who_may import decided_by
from kb.desk.access import accounts, own_password, passwords, sessions
from kb.desk.access.accounts import UserView

open_router = Router(for_anybody=True, tags=["people"])
router = Router(tags=["people"])


@open_router.post("/sign-in", openapi_extra={"security": []})
def sign_in(body: SignInBody, call: AnyCall, request: Request, response: Response) -> MeOut:
    """Open a browser session; programs use a token instead."""
    signed_in = security.sign_in(call.shop, request, body.name, body.password)
    security.give_cookie(request, response, signed_in)
    return MeOut(name=signed_in.actor.name, role=signed_in.actor.role, form_token=signed_in.form_token)


@router.post("/sign-out", status_code=204)
def sign_out(call: SignedInCall, request: Request, response: Response) -> None:
    """End the browser session."""
    with call.writing() as desk:
        sessions.sign_out(desk, cookies.read(request, security.COOKIE))
    security.take_cookie(request, response)


@router.get("/me")
def who_is_signed_in(call: SignedInCall) -> MeOut:
    """Who calls, and the form token of a sign-in by cookie."""
    return MeOut(name=call.actor.name, role=call.actor.role, form_token=call.form_token)


@router.get("/users")
def list_users(call: SignedInCall) -> tuple[UserView, ...]:
    """The people of the shop."""
    with call.reading() as desk:
        return accounts.list_users(desk)


@router.post("/users", status_code=201, responses=CONFLICT)
def add_user(body: UserIn, call: SignedInCall) -> UserView:
    """A new account; for the owner."""
    password = passwords.chosen(body.password, call.shop.facts.name, body.name, body.display_name)
    with call.writing() as desk:
        return accounts.add_user(desk, body.name, body.display_name, body.role, password)


@router.put("/users/{user_id}", responses=CONFLICT)
def change_user(user_id: Id, body: UserChange, call: SignedInCall) -> UserView:
    """Another name or role; for the owner."""
    with call.writing() as desk:
        return accounts.change_user(
            desk, user_id, body.version, display_name=body.display_name, role=body.role
        )


@router.post("/users/{user_id}/disable")
def disable_user(user_id: Id, call: SignedInCall) -> UserView:
    """Nobody signs in as this person any more, nor uses a token of theirs; for the owner."""
    with call.writing() as desk:
        return accounts.disable_user(desk, user_id)


@router.put("/users/{user_id}/password", status_code=204)
@decided_by(accounts.choose_for)
def set_password(user_id: Id, body: PasswordIn, call: SignedInCall, request: Request) -> None:
    """Your own by the old one, or as the owner somebody's, who changes it at the next sign-in.

    Their other sessions end with it, and every token of theirs, the one of this call too.
    """
    if user_id == call.actor.user_id:
        with call.reading() as desk:
            device = security.device_of(desk, request)
        own_password.change_own_password(
            call.shop, call.actor, body.old_password, body.password, device=device
        )
        return
    with call.reading() as desk:
        password = accounts.choose_for(desk, user_id, body.password)
    with call.writing() as desk:
        accounts.set_password(desk, user_id, password)
