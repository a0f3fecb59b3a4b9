"""The people of the shop: their accounts, roles and passwords."""

from __future__ import annotations

from dataclasses import dataclass

from kb.desk.access.passwords import Chosen, chosen
from kb.desk.access.shut_pins import is_shut
from kb.desk.access.waits import forget_name
from kb.desk.context import Desk, anyone_in_the_shop, owner_only
from kb.desk.saving import changed, refuse_stale, row_of, saved
from kb.errors import BadInput, Conflict
from kb.nouns.copying import copied
from kb.nouns.people import Actor, Role
from kb.records.store.rows import save
from kb.records.store.shop import people as store
from kb.records.store.shop import ways_in
from kb.records.tables import User

STARTING_PEOPLE = {
    Role.TECH.value: "Technician",
    Role.LEAD.value: "Lead technician",
    Role.OWNER.value: "Owner",
}


@dataclass(frozen=True, slots=True)
class UserView:
    """One account. Without a password it can only be used through a token or a demo's one-click sign-in."""

    id: int
    name: str
    display_name: str
    role: str
    has_password: bool
    has_pin: bool
    pin_is_shut: bool
    disabled: bool
    version: int


@owner_only
def add_starting_people(desk: Desk) -> tuple[UserView, ...]:
    """The demo's three people: tech, lead, owner, each with the role of that name, no passwords."""
    for name, display_name in STARTING_PEOPLE.items():
        if store.user_named(desk.session, desk.shop.id, name) is None:
            make_account(desk, name, display_name, name, None)
    return list_users(desk)


@anyone_in_the_shop
def list_users(desk: Desk) -> tuple[UserView, ...]:
    """Everybody with an account, by name."""
    return tuple(_view(user) for user in store.users(desk.session, desk.shop.id))


@owner_only
def add_user(
    desk: Desk, name: str, display_name: str, role: str, password: Chosen, *, made_up: bool = False
) -> UserView:
    """A new account; a `made_up` password is changed at the first sign-in.

    Raises BadInput for a bad name or role, Conflict for a name in use.
    """
    there = store.user_named(desk.session, desk.shop.id, good_name(name))
    if there is not None and there.disabled_at is not None:
        raise Conflict(
            f"{there.name} has an account that is disabled. Enable it instead.", fields={"name": "disabled"}
        )
    if there is not None:
        raise Conflict(f"Somebody here is called {name!r} already.", fields={"name": "in use"})
    user = make_account(desk, name, display_name, _good_role(role), password.kept)
    user.password_is_given = made_up or _is_somebodys(desk)
    desk.note_down("added", "user", user.id, role=role)
    return _view(user)


@owner_only
def change_user(desk: Desk, user_id: int, version: int, *, display_name: str, role: str) -> UserView:
    """Change what a person is called and may do. A stale version raises Conflict."""
    user = user_with_id(desk, user_id)
    yours = {"display_name": display_name, "role": role}
    theirs = {"display_name": user.display_name, "role": user.role, "version": user.version}
    refuse_stale(user, version, "Somebody else changed this account meanwhile.", yours=yours, theirs=theirs)
    if user.role == Role.OWNER.value and _good_role(role) != Role.OWNER.value:
        _keep_one_owner(desk, user)
    new = {"display_name": display_name.strip() or user.name, "role": _good_role(role)}
    return _view(saved(desk, changed(user, new), "changed", "user", role=role))


@owner_only
def disable_user(desk: Desk, user_id: int) -> UserView:
    """Keep the account for the record, but let nobody in with it; ends its sessions and tokens."""
    user = user_with_id(desk, user_id)
    _keep_one_owner(desk, user)
    user.disabled_at, user.version = desk.now, user.version + 1
    end_ways_in(desk, user)
    desk.note_down("disabled", "user", user.id)
    return _view(user)


@owner_only
def enable_user(desk: Desk, user_id: int) -> UserView:
    """Let a disabled person in again, with the password and role they had; tokens have to be made anew."""
    user = user_with_id(desk, user_id)
    if user.disabled_at is not None:
        user.disabled_at, user.version = None, user.version + 1
        desk.note_down("enabled", "user", user.id)
    return _view(user)


@anyone_in_the_shop
def choose_for(desk: Desk, user_id: int, typed: str) -> Chosen:
    """A password for this person, if it will do. Ask a desk that only reads: it takes a while."""
    user = user_with_id(desk, user_id)
    return chosen(typed, desk.shop.name, user.name, user.display_name)


@owner_only
def set_password(desk: Desk, user_id: int, password: Chosen, *, made_up: bool = False) -> None:
    """A new password for somebody, who changes it at the next sign-in. It ends their sessions and tokens.

    One typed at the console nobody has to change: whoever it is for may sit there.
    """
    user = user_with_id(desk, user_id)
    if desk.actor.user_id == user_id:
        raise BadInput("Change your own password under your name, by the old one.")
    if user.disabled_at is not None:
        raise BadInput(f"{user.name} is disabled. Enable the account first, then set its password.")
    user.password_hash, user.version = password.kept, user.version + 1
    user.password_is_given = made_up or _is_somebodys(desk)
    end_ways_in(desk, user)
    desk.note_down("set the password of", "user", user.id)


def end_ways_in(desk: Desk, user: User, *, but: int | None = None) -> None:
    """End a person's sessions, `but` this one, and all their tokens; wrong tries by their name begin anew."""
    ways_in.end_sessions_of(desk.session, user.id or 0, but=but)
    ways_in.end_tokens_of(desk.session, user.id or 0, desk.now)
    forget_name(desk, user.name)


def _is_somebodys(desk: Desk) -> bool:
    """Whether somebody with an account is at work, rather than the console."""
    return desk.actor.user_id != 0


def make_account(desk: Desk, name: str, display_name: str, role: str, password_hash: str | None) -> User:
    called = display_name.strip() or name.strip()
    user = User(shop_id=desk.shop.id, name=good_name(name), display_name=called, role=role)
    user.password_hash = password_hash
    return save(desk.session, user)


def user_with_id(desk: Desk, user_id: int) -> User:
    return row_of(desk, User, user_id, "There is no such account.")


def _keep_one_owner(desk: Desk, leaving: User) -> None:
    others = [
        user
        for user in store.users(desk.session, desk.shop.id)
        if user.role == Role.OWNER.value and user.disabled_at is None and user.id != leaving.id
    ]
    if leaving.role == Role.OWNER.value and not others:
        raise BadInput("The shop needs at least one owner. Make somebody else owner first.")


def good_name(name: str) -> str:
    folded = name.strip().lower()
    if not folded.replace(".", "").replace("-", "").replace("_", "").isalnum() or len(folded) > 40:
        raise BadInput(
            "A sign-in name has 1 to 40 letters, digits, dots or hyphens.",
            fields={"name": "letters, digits, dots and hyphens"},
        )
    return folded


def _good_role(role: str) -> str:
    if role not in STARTING_PEOPLE:
        raise BadInput("The role is tech, lead or owner.", fields={"role": "tech, lead or owner"})
    return role


def actor_of(user: User) -> Actor:
    return Actor(user.id or 0, user.name, user.role)


def _view(user: User) -> UserView:
    return copied(
        UserView,
        user,
        id=user.id or 0,
        has_password=user.password_hash is not None,
        has_pin=user.pin_hash is not None,
        pin_is_shut=is_shut(user),
        disabled=user.disabled_at is not None,
    )
