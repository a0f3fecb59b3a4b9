"""Who may sign in, changed by the owner, and who needs signing off, told to lead and owner."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.access import accounts, passwords, wrong_tries
from kb.desk.shop import who_needs_signing
from kb.errors import KbError
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/shop/people")


def _page(visit: Visit, user_id: int = 0, refused: KbError | None = None) -> Response:
    """`user_id` is whose form was refused; 0: that of somebody new."""
    with visit.reading() as desk:
        users = accounts.list_users(desk)
        wrong = wrong_tries.by_person(desk) if visit.may("owner") else {}
        needs = who_needs_signing.who_needs_signing(desk) if visit.may("lead", "owner") else None
    ids = {one.name: one.id for one in users}
    return visit.page(
        "shop/people.html",
        place="/shop",
        users=users,
        needs=needs,
        ids=ids,
        wrong_tries=wrong,
        refused=refused,
        at_fault=user_id,
    )


@router.get("")
def show(visit: Somebody) -> Response:
    return _page(visit)


@router.post("")
@shown_again(_page)
def add(visit: Somebody) -> Response:
    typed, made = visit.typed, _made_up(visit)
    name, display_name = typed.text("name"), typed.text("display_name")
    password = passwords.chosen(made or typed.raw("password"), visit.shop.facts.name, name, display_name)
    with visit.writing() as desk:
        added = accounts.add_user(desk, name, display_name, typed.text("role"), password)
    if made:
        return visit.page("me/made_up.html", place="/shop", whose=added, made=made, own=False)
    return visit.go("/shop/people", said=f"{added.display_name} may sign in now.")


@router.post("/{user_id}")
@shown_again(_page)
def change(visit: Somebody, user_id: int) -> Response:
    """Name on the screen and role; a typed password, or one made up, replaces the old one."""
    typed, made = visit.typed, _made_up(visit)
    password = made or typed.raw("password")
    with visit.reading() as desk:
        chosen = accounts.choose_for(desk, user_id, password) if password else None
    with visit.writing() as desk:
        changed = accounts.change_user(
            desk,
            user_id,
            typed.must_whole("version", "version"),
            display_name=typed.text("display_name"),
            role=typed.text("role"),
        )
        if chosen:
            accounts.set_password(desk, user_id, chosen)
    if made:
        return visit.page("me/made_up.html", place="/shop", whose=changed, made=made, own=False)
    return visit.go("/shop/people", said="Saved.")


def _made_up(visit: Visit) -> str:
    return passwords.made_up() if visit.typed.ticked("made_up") else ""


@router.post("/{user_id}/disable")
@shown_again(_page)
def disable(visit: Somebody, user_id: int) -> Response:
    with visit.writing() as desk:
        gone = accounts.disable_user(desk, user_id)
    return visit.go("/shop/people", said=f"{gone.display_name} can no longer sign in.")


@router.post("/{user_id}/enable")
def enable(visit: Somebody, user_id: int) -> Response:
    with visit.writing() as desk:
        back = accounts.enable_user(desk, user_id)
    return visit.go("/shop/people", said=f"{back.display_name} may sign in again.")
