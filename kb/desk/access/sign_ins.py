"""Who may come in: sign-ins, tokens, and the people of the shop."""

from __future__ import annotations

import hmac
from dataclasses import dataclass, replace
from datetime import timedelta

from kb.desk import settings as settings_desk
from kb.desk.access import secrets
from kb.desk.access.accounts import STARTING_PEOPLE, actor_of, good_name, make_account, user_with_id
from kb.desk.access.devices import STRANGER, Device, cookie_of, device_of
from kb.desk.access.trying import try_once
from kb.desk.context import Desk, RunningShop, open_to_anyone, owner_only
from kb.errors import NotAllowed, NotFound, NotSignedIn
from kb.nouns.people import Actor, Role
from kb.records.store.rows import save
from kb.records.store.shop import people as store
from kb.records.tables import ApiToken, SignIn, User

SIGN_IN_LASTS = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class SignedIn:
    """A fresh browser session: the cookie's secret, the token that its forms carry, who it is, and what the
    device is known by from now on.
    """

    cookie: str
    form_token: str
    actor: Actor
    device_cookie: str


@dataclass(frozen=True, slots=True)
class Visitor:
    """The person behind a session cookie."""

    actor: Actor
    display_name: str
    form_token: str


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
    password: str,
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
        user = make_account(desk, name, display_name, Role.OWNER.value, secrets.hash_password(password))
    else:
        user.password_hash, user.role = secrets.hash_password(password), Role.OWNER.value
        user.display_name = display_name.strip() or user.display_name
        user.disabled_at, user.version = None, user.version + 1
    store.keep_set_up_code(desk.session, desk.shop.id, None)
    desk.note_down("set up", "user", user.id, name=user.name)
    if cured_in_10:
        theirs = replace(desk, actor=actor_of(user))
        why = "answered when the shop was set up"
        settings_desk.change_setting(theirs, "prior_cured_in_10", cured_in_10, why)
    return _open_session(desk, user, device)


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

    def let_in(desk: Desk) -> SignedIn:
        found = store.user_named(desk.session, desk.shop.id, name.strip().lower())
        if found is None or found.password_hash != kept or found.disabled_at is not None:
            raise NotSignedIn("This account was changed just now. Sign in again.")
        desk.note_down("signed in", "user", found.id)
        return _open_session(desk, found, device)

    return try_once(shop, name, device, lambda: secrets.password_fits(password, kept), let_in)


@open_to_anyone
def sign_in_demo(desk: Desk, name: str, device: Device = STRANGER) -> SignedIn:
    """One-click sign-in: only in the demo, and only while its people have no passwords."""
    user = store.user_named(desk.session, desk.shop.id, name.strip().lower())
    if not desk.shop.is_demo or user is None or user.password_hash is not None:
        raise NotAllowed("One-click sign-in is for the demo on this machine. Sign in with a password.")
    return _open_session(desk, user, device)


@open_to_anyone
def sign_out(desk: Desk, cookie: str) -> None:
    """End the session; a cookie that is not known is no error."""
    store.end_sign_in(desk.session, secrets.kept(cookie))


@open_to_anyone
def who_holds_cookie(desk: Desk, cookie: str) -> Visitor | None:
    """The person whose open session this is, or None."""
    found = store.sign_in_by_cookie(desk.session, secrets.kept(cookie))
    if found is None:
        return None
    row, user = found
    if row.ends_at <= desk.now or user.disabled_at is not None:
        return None
    return Visitor(actor_of(user), user.display_name, row.form_token)


@open_to_anyone
def who_holds_token(desk: Desk, token: str) -> Actor | None:
    """The person whose API token this is, or None."""
    row = store.token_by_hash(desk.session, secrets.kept(token))
    if row is None or row.revoked_at is not None:
        return None
    user = store.user_with_id(desk.session, row.user_id)
    return None if user is None or user.disabled_at is not None else actor_of(user)


@owner_only
def new_token(desk: Desk, name: str) -> str:
    """A new API token of a person; it is shown once and only its hash is kept.

    In a database without users, `tech`, `lead` or `owner` is made first, with the role of that name and no
    password. Raises NotFound for any other name,
    NotAllowed for somebody who is disabled.
    """
    name = name.strip().lower()
    if name in STARTING_PEOPLE and not store.users(desk.session, desk.shop.id):
        make_account(desk, name, STARTING_PEOPLE[name], name, None)
    user = store.user_named(desk.session, desk.shop.id, name)
    if user is not None and user.disabled_at is not None:
        raise NotAllowed(f"{name} is disabled. Enable the account first.", fields={"name": "disabled"})
    if user is None:
        raise NotFound(
            f"Nobody here is called {name!r}. Make the account first.", fields={"name": "not known"}
        )
    token = secrets.new_secret()
    kept = ApiToken(
        shop_id=desk.shop.id, user_id=user.id or 0, token_hash=secrets.kept(token), created_at=desk.now
    )
    save(desk.session, kept)
    desk.note_down("made a token for", "user", user.id)
    return token


@owner_only
def revoke_tokens(desk: Desk, user_id: int) -> int:
    """End every API token of a person; gives how many there were."""
    user = user_with_id(desk, user_id)
    ended = store.revoke_tokens(desk.session, user.id or 0, desk.now)
    desk.note_down("revoked tokens of", "user", user.id, ended=ended)
    return ended


def _open_session(desk: Desk, user: User, device: Device) -> SignedIn:
    cookie, form_token = secrets.new_secret(), secrets.new_secret()
    row = SignIn(
        shop_id=desk.shop.id,
        user_id=user.id or 0,
        cookie_hash=secrets.kept(cookie),
        form_token=form_token,
        created_at=desk.now,
        ends_at=desk.now + SIGN_IN_LASTS,
    )
    save(desk.session, row)
    known_by = cookie_of(desk, device, user.id or 0)
    return SignedIn(cookie, form_token, actor_of(user), known_by)
