"""Who may come in: by password, by the set-up code of a new shop, by one click in a demo."""

from __future__ import annotations

import hmac
from dataclasses import replace

from kb.desk import settings as settings_desk
from kb.desk.access import passwords, secrets
from kb.desk.access.accounts import actor_of, good_name, make_account
from kb.desk.access.devices import STRANGER, Device, device_of
from kb.desk.access.passwords import Chosen
from kb.desk.access.sessions import SignedIn, open_session
from kb.desk.access.trying import try_once
from kb.desk.context import Desk, RunningShop, open_to_anyone, owner_only
from kb.errors import NotAllowed, NotSignedIn
from kb.nouns.people import Door, Role
from kb.records.store.shop import people as store


@open_to_anyone
def first_run_open(desk: Desk) -> bool:
    """Whether the shop still waits for its first owner: no account has a password, and it is no demo."""
    return not desk.shop.is_demo and store.count_with_password(desk.session, desk.shop.id) == 0


@owner_only
def issue_set_up_code(desk: Desk) -> str:
    """A new one-time code for the first-run page, which the console prints; older codes are void."""
    code = secrets.new_code()
    store.keep_set_up_code(desk.session, desk.shop.id, secrets.kept(code))
    return code


@open_to_anyone
def set_up_first_owner(
    desk: Desk,
    name: str,
    display_name: str,
    password: Chosen,
    *,
    code: str,
    cured_in_10: str = "",
    device: Device = STRANGER,
) -> SignedIn:
    """Make the first account with a password, an owner, and sign it in; one of that name is enabled for it.

    `code` is the one that the server printed on its console, so that nobody else on the network can claim
    the shop. `cured_in_10`: of ten reflashes sold on a bulletin alone, how many cured, as the owner typed it;
    empty if not sure. Raises NotAllowed once an account has a password, or if the code is not the one.
    """
    if not first_run_open(desk):
        raise NotAllowed("The shop is set up already. Sign in, or ask the owner for an account.")
    wanted = store.set_up_code_hash(desk.session, desk.shop.id)
    if wanted is None or not hmac.compare_digest(wanted, secrets.kept(code.strip().lower())):
        raise NotAllowed(
            "That is not the set-up code. The console where the server was started shows it.",
            fields={"code": "as printed on the console"},
        )
    user = store.user_named(desk.session, desk.shop.id, good_name(name))
    if user is None:
        user = make_account(desk, name, display_name, Role.OWNER.value, password.kept)
    else:
        user.password_hash, user.role = password.kept, Role.OWNER.value
        user.password_is_given = False
        user.display_name = display_name.strip() or user.display_name
        user.disabled_at, user.version = None, user.version + 1
    store.keep_set_up_code(desk.session, desk.shop.id, None)
    desk.note_down("set up", "user", user.id, name=user.name)
    if cured_in_10:
        theirs = replace(desk, actor=actor_of(user))
        why = "answered when the shop was set up"
        settings_desk.change_setting(theirs, "prior_cured_in_10", cured_in_10, why)
    return open_session(desk, user, device, Door.PASSWORD)


def sign_in(
    shop: RunningShop, name: str, password: str, *, device_cookie: str = "", address: str = ""
) -> SignedIn:
    """Open a browser session. Unknown names cost the same work as wrong passwords and read the same.

    `device_cookie` is what the browser is known by from an earlier sign-in, `address` where it calls from.
    Raises NotSignedIn, or TooMany while the name has to wait.
    """
    with shop.reading() as desk:
        device = device_of(desk, device_cookie, address)
        user = store.user_named(desk.session, desk.shop.id, name.strip().lower())
        kept = user.password_hash if user and user.disabled_at is None else None
    new_hashes: list[str] = []

    def fits() -> bool:
        right = secrets.password_fits(password, kept)
        if right and kept and not secrets.is_hashed_as_today(kept):
            new_hashes.append(secrets.hash_password(passwords.normal(password)))
        return right

    def let_in(desk: Desk) -> SignedIn:
        found = store.user_named(desk.session, desk.shop.id, name.strip().lower())
        if found is None or found.password_hash != kept or found.disabled_at is not None:
            raise NotSignedIn("This account was changed just now. Sign in again.")
        found.password_hash = new_hashes[-1] if new_hashes else kept
        desk.note_down("signed in", "user", found.id)
        return open_session(desk, found, device, Door.PASSWORD)

    return try_once(shop, name, device, fits, let_in)


@open_to_anyone
def sign_in_demo(desk: Desk, name: str, device: Device = STRANGER) -> SignedIn:
    """One-click sign-in: only in the demo, and only while its people have no passwords."""
    user = store.user_named(desk.session, desk.shop.id, name.strip().lower())
    if not desk.shop.is_demo or user is None or user.password_hash is not None:
        raise NotAllowed("One-click sign-in is for the demo on this machine. Sign in with a password.")
    return open_session(desk, user, device, Door.ONE_CLICK)
