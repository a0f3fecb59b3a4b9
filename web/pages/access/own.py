"""A person's own page, and the same of somebody else for the owner: PIN, sessions and tokens."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from api.who_may import decided_by
from kb.desk.access import accounts, pins, sessions, showing_who, shut_pins, tokens, waits, wrong_tries
from kb.desk.access.lifetimes import LONGEST_TOKEN_DAYS, TOKEN_DAYS
from kb.desk.access.showing_who import Shown
from kb.desk.access.tokens import NewToken, TokenDraft, TokenScope
from kb.errors import KbError, NotFound
from web.shown_again import shown_again
from web.visits import Somebody, Visit

own_router = APIRouter(prefix="/me")
router = APIRouter(prefix="/shop/people/{user_id}/ways-in")


def _page(
    visit: Visit, user_id: int | None = None, refused: KbError | None = None, made: NewToken | None = None
) -> Response:
    """`user_id`: whose, where it is not one's own; `made`: a token that is shown this once."""
    own = user_id is None
    whose = visit.actor.user_id if user_id is None else user_id
    with visit.reading() as desk:
        open_now, kept = sessions.list_sessions(desk, whose), tokens.list_tokens(desk, whose)
        person = next((one for one in accounts.list_users(desk) if one.id == whose), None)
        if person is None:
            raise NotFound("There is no such account.")
        tried = wrong_tries.of_pin(desk, whose) if person.has_pin else None
    return visit.page(
        "me/page.html",
        place="" if own else "/shop",
        own=own,
        base="/me" if own else f"/shop/people/{whose}/ways-in",
        person=person,
        sessions=open_now,
        tokens=kept,
        made=made,
        tried=tried,
        most_wrong=shut_pins.MOST_WRONG,
        next_try=waits.in_words(tried.wait) if tried and tried.wait else "",
        digits=(pins.SHORTEST_PIN, pins.LONGEST_PIN),
        token_days=(TOKEN_DAYS, LONGEST_TOKEN_DAYS),
        refused=refused,
    )


@own_router.get("")
def show_own(visit: Somebody) -> Response:
    return _page(visit)


@own_router.post("/tokens")
@shown_again(_page)
def make_token(visit: Somebody) -> Response:
    """The token stands on the page that answers, and nowhere else."""
    typed = visit.typed
    draft = TokenDraft(
        typed.text("token_name"),
        typed.must_be_one_of("scope", TokenScope, "what it may do"),
        typed.must_whole("days", "days"),
    )
    with visit.writing() as desk:
        made = tokens.make_token(desk, draft)
    return _page(visit, made=made)


@own_router.post("/tokens/{token_id}/end")
def end_own_token(visit: Somebody, token_id: int) -> Response:
    return _end_token(visit, visit.actor.user_id, token_id, "/me")


@own_router.post("/sessions/end")
@shown_again(_page)
def end_own_sessions(visit: Somebody) -> Response:
    password = Shown(visit.actor.user_id, visit.typed.raw("password_for_sessions"), visit.device())
    ended = showing_who.end_own_sessions(visit.shop, visit.actor, _session_named(visit), password)
    return visit.go("/me", said=_signed_out(ended))


@own_router.post("/pin")
@shown_again(_page)
def set_pin(visit: Somebody) -> Response:
    typed = visit.typed
    password = Shown(visit.actor.user_id, typed.raw("password_for_pin"), visit.device())
    showing_who.set_pin(visit.shop, visit.actor, typed.raw("pin"), typed.raw("pin_again"), password)
    return visit.go("/me", said="Your PIN is set.")


@own_router.post("/pin/remove")
def remove_own_pin(visit: Somebody) -> Response:
    return _remove_pin(visit, visit.actor.user_id, "/me")


@router.get("")
def show(visit: Somebody, user_id: int) -> Response:
    return _page(visit, user_id)


@router.post("/tokens/{token_id}/end")
@decided_by(accounts.set_password)
def end_token(visit: Somebody, user_id: int, token_id: int) -> Response:
    return _end_token(visit, user_id, token_id, f"/shop/people/{user_id}/ways-in")


@router.post("/sessions/end")
def end_sessions(visit: Somebody, user_id: int) -> Response:
    with visit.writing() as desk:
        ended = sessions.end_sessions(desk, user_id, _session_named(visit))
    return visit.go(f"/shop/people/{user_id}/ways-in", said=_signed_out(ended))


@router.post("/pin/remove")
@decided_by(accounts.set_password)
def remove_pin(visit: Somebody, user_id: int) -> Response:
    return _remove_pin(visit, user_id, f"/shop/people/{user_id}/ways-in")


def _end_token(visit: Visit, user_id: int, token_id: int, back: str) -> Response:
    with visit.writing() as desk:
        tokens.end_token(desk, user_id, token_id)
    return visit.go(back, said="The token ended. Whatever uses it needs a new one.")


def _session_named(visit: Visit) -> int | None:
    """The one whose button was pressed; None for all others."""
    return None if visit.typed.text("session") == "others" else visit.typed.must_whole("session", "session")


def _signed_out(ended: int) -> str:
    devices = "1 device" if ended == 1 else f"{ended} devices"
    return f"Signed out on {devices}. What was typed there stays in that browser."


def _remove_pin(visit: Visit, user_id: int, back: str) -> Response:
    with visit.writing() as desk:
        pins.remove_pin(desk, user_id)
    return visit.go(back, said="The PIN is gone.")
