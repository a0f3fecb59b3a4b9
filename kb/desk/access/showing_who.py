"""Showing who one is at a device that is open already: to change person, to sign, to take a tablet back.

Each is one try of that person's (`trying.py`), so that wrong ones wait, and is checked outside of every
transaction. A PIN opens a session with a technician's rights, and only on a device that the shop shares.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TypeVar

from kb.desk.access import secrets, sessions
from kb.desk.access.devices import Device
from kb.desk.access.pins import refuse_weak
from kb.desk.access.sessions import SignedIn, open_session
from kb.desk.access.shut_pins import refuse_shut
from kb.desk.access.trying import try_once
from kb.desk.access.waits import Guessed
from kb.desk.access.whose import refuse_by_pin
from kb.desk.context import NOBODY, Desk, RunningShop
from kb.errors import BadInput, NotAllowed, NotSignedIn, TooMany
from kb.nouns.people import Actor, Door
from kb.records.store.shop import people
from kb.records.store.shop import ways_in as store
from kb.records.tables import User

Result = TypeVar("Result")
_NO_TILE = "Nobody comes in by PIN under this name here. Sign in with the password."
_WRONG_PIN = "That is not the PIN. Try again, or sign in with the password."
_WRONG_PASSWORD = "That is not the password."  # noqa: S105  # a sentence, not a secret


@dataclass(frozen=True, slots=True)
class Shown:
    """What somebody shows who they are with: their PIN, and where they have none the password."""

    user_id: int
    typed: str
    device: Device


def change_person(shop: RunningShop, key: str, shown: Shown) -> SignedIn:
    """A session by PIN on the shared device with this key.

    Raises NotAllowed where the device is not shared or the person has no PIN, NotSignedIn for a wrong one,
    TooMany after several.
    """
    with shop.reading() as desk:
        if store.device_by_key(desk.session, desk.shop.id, secrets.kept(key)) is None:
            raise NotAllowed(_NO_TILE)
        if _user(desk, shown.user_id).pin_hash is None:
            raise NotAllowed(_NO_TILE)

    def take_over(desk: Desk, user: User) -> SignedIn:
        shared = store.device_by_key(desk.session, desk.shop.id, secrets.kept(key))
        if shared is None:
            raise NotAllowed(_NO_TILE)
        desk.note_down("signed in by PIN", "user", user.id, on=shared.name)
        return open_session(desk, user, shown.device, Door.PIN, shared=shared)

    return show(shop, NOBODY, shown, take_over)


def sign(shop: RunningShop, actor: Actor, shown: Shown) -> Actor:
    """The same person, who has shown just now who they are: what they sign by name is taken.

    Raises BadInput for a wrong one, and while they have to wait, so that the form is shown again.
    """
    try:
        return show(shop, actor, shown, lambda _desk, _user: actor.who_signed())
    except (NotSignedIn, TooMany) as wrong:
        raise BadInput(wrong.message, fields={"signature": "not the one"}, details=wrong.details) from None


def set_pin(shop: RunningShop, actor: Actor, pin: str, again: str, password: Shown) -> None:
    """One's own PIN, a first or another one; whoever came in by the one before is out. It asks for the
    password: nobody sets one at an open page.

    Raises BadInput for a PIN that is easily guessed, two that differ, a wrong password and while they wait.
    """
    refuse_weak(pin)
    if pin != again:
        raise BadInput("The two PINs differ. Type the same twice.", fields={"pin_again": "differs"})
    hashed = secrets.hash_password(pin)

    def keep(desk: Desk, user: User) -> None:
        refuse_by_pin(desk, "A new PIN")
        user.pin_hash, user.version = hashed, user.version + 1
        store.end_sessions_by(desk.session, user.id or 0, Door.PIN.value)
        desk.note_down("set the PIN of", "user", user.id)

    _show_again(shop, actor, password, keep, "password_for_pin")


def end_own_sessions(shop: RunningShop, actor: Actor, session_id: int | None, password: Shown) -> int:
    """One's own on another device, or all but this one, with the password once more: whoever finds a page
    open shuts nobody out. Where nobody has one, in the demo, it is not asked. Gives how many ended.

    Raises BadInput for a wrong password and while they wait, NotFound for a session that is over.
    """
    with shop.reading(actor) as desk:
        asks = _user(desk, actor.user_id).password_hash is not None

    def end(desk: Desk, _user: User) -> int:
        return sessions.end_own_sessions(desk, session_id)

    if asks:
        return _show_again(shop, actor, password, end, "password_for_sessions")
    with shop.writing(actor) as desk:
        return sessions.end_own_sessions(desk, session_id)


def _show_again(
    shop: RunningShop, actor: Actor, password: Shown, then: Callable[[Desk, User], Result], field: str
) -> Result:
    """What `then` gives, for who is signed in and shows their password; raises BadInput of that field."""
    try:
        return show(shop, actor, password, then, by_password=True)
    except (NotSignedIn, TooMany) as wrong:
        raise BadInput(wrong.message, fields={field: "not yours"}, details=wrong.details) from None


def show(
    shop: RunningShop,
    actor: Actor,
    shown: Shown,
    then: Callable[[Desk, User], Result],
    *,
    by_password: bool = False,
) -> Result:
    """What `then` gives, for who showed their PIN, or by password where they have none or it is asked for.

    Raises NotSignedIn for a wrong one and for who may no longer come in, TooMany after several.
    """
    with shop.reading() as desk:
        user = _user(desk, shown.user_id)
        name, by_pin = user.name, user.pin_hash is not None and not by_password
        kept = user.pin_hash if by_pin else user.password_hash
        if by_pin:
            refuse_shut(user)

    def go_on(desk: Desk) -> Result:
        return then(replace(desk, actor=actor), _user(desk, shown.user_id))

    try:
        return try_once(
            shop,
            name,
            shown.device,
            lambda: secrets.password_fits(shown.typed, kept),
            go_on,
            what=Guessed.PIN if by_pin else Guessed.PASSWORD,
            refusal=_WRONG_PIN if by_pin else _WRONG_PASSWORD,
        )
    except NotSignedIn:
        if by_pin:  # it may be the one that shut it
            with shop.reading() as desk:
                refuse_shut(_user(desk, shown.user_id))
        raise


def _user(desk: Desk, user_id: int) -> User:
    """Raises NotSignedIn for nobody and for who may no longer come in."""
    user = people.user_with_id(desk.session, user_id)
    if user is None or user.shop_id != desk.shop.id or user.disabled_at is not None:
        raise NotSignedIn(_NO_TILE)
    return user
