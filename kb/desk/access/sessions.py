"""Browser sessions: opened, held to their limits, listed and ended."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from kb.desk import settings
from kb.desk.access import secrets
from kb.desk.access.accounts import actor_of
from kb.desk.access.device_words import device_words
from kb.desk.access.devices import Device, cookie_of
from kb.desk.access.lifetimes import (
    IDLE_AT_MOST,
    holds,
    is_idle,
    is_programming,
    is_worth_noting,
    session_lasts,
)
from kb.desk.access.whose import whose
from kb.desk.context import Desk, anyone_in_the_shop, open_to_anyone, owner_only
from kb.errors import BadInput, NotFound
from kb.nouns.people import Actor, CameBy, Door, Role, at_most
from kb.records.store.rows import save
from kb.records.store.shop import ways_in as store
from kb.records.tables import SharedDevice, SignIn, User

_NONE_SUCH = "There is no such session; it may have ended."


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
    """The person behind a session cookie. `handed_over`: the concern that the screen was turned to a customer
    with, who may see nothing else; `signs_by`: what a signature is shown with, empty where nothing is asked;
    `password_is_given`: they came in by one that somebody else chose, and do nothing before changing it.
    """

    actor: Actor
    display_name: str
    form_token: str
    handed_over: int | None = None
    signs_by: str = ""
    worth_noting: bool = False
    password_is_given: bool = False


@dataclass(frozen=True, slots=True)
class SessionView:
    """An open session, in a few words; `is_this` is the one that asks."""

    id: int
    device: str
    shared_device: str
    door: str
    first_seen: datetime
    last_seen: datetime
    ends_at: datetime
    is_this: bool


def open_session(
    desk: Desk, user: User, device: Device, door: Door, *, shared: SharedDevice | None = None
) -> SignedIn:
    """A fresh session; what is over of that person's goes. `device` is known from now on."""
    store.end_old_sessions(desk.session, user.id or 0, desk.now)
    cookie = secrets.new_secret()
    row = SignIn(
        shop_id=desk.shop.id,
        user_id=user.id or 0,
        cookie_hash=secrets.kept(cookie),
        form_token=secrets.new_secret(),
        created_at=desk.now,
        ends_at=desk.now + session_lasts(door),
        door=door.value,
        last_seen_at=desk.now,
        shared_device_id=shared.id if shared else None,
    )
    save(desk.session, row)
    return SignedIn(cookie, row.form_token, actor_of(user), cookie_of(desk, device, user.id or 0))


@open_to_anyone
def who_holds_cookie(desk: Desk, cookie: str) -> Visitor | None:
    """The person whose open session this is, or None. A role that changed holds from now on."""
    found = store.session_by_cookie(desk.session, secrets.kept(cookie))
    if found is None:
        return None
    row, user, shared = found
    if user.disabled_at is not None or not _is_open(desk, row, shared):
        return None
    door = Door(row.door)
    by = CameBy(door, row.id or 0, row.ends_at, on_shared=row.shared_device_id)
    role = at_most(user.role, Role.TECH.value) if door is Door.PIN else user.role
    signs_by = ("PIN" if user.pin_hash else "password") if shared else ""
    stale = is_worth_noting(row.last_seen_at, desk.now, on_shared=shared is not None)
    return Visitor(
        Actor(user.id or 0, user.name, role, by),
        user.display_name,
        row.form_token,
        row.handed_over_at_concern,
        signs_by,
        stale or not row.device,
        user.password_is_given and door is Door.PASSWORD,
    )


@open_to_anyone
def note_visit(desk: Desk, session_id: int, user_agent: str, shared_key: str = "") -> None:
    """Write down that a session was used just now, and on what; `shared_key`: the shared device that it came
    from. One that ended meanwhile is no error.
    """
    row = store.session_with_id(desk.session, desk.shop.id, session_id)
    if row is None:
        return
    row.last_seen_at, row.device = desk.now, device_words(user_agent)
    if shared_key and row.shared_device_id is None:
        shared = store.device_by_key(desk.session, desk.shop.id, secrets.kept(shared_key))
        row.shared_device_id = shared.id if shared else None


@anyone_in_the_shop
def list_sessions(desk: Desk, user_id: int) -> tuple[SessionView, ...]:
    """A person's open sessions, newest first; for that person and the owner."""
    user = whose(desk, user_id)
    devices = {one.id: one for one in store.devices(desk.session, desk.shop.id)}
    rows = store.sessions_of(desk.session, user.id or 0)
    shared = {row.id: devices.get(row.shared_device_id) for row in rows}
    return tuple(_view(desk, row, shared[row.id]) for row in rows if _is_open(desk, row, shared[row.id]))


@owner_only
def end_sessions(desk: Desk, user_id: int, session_id: int | None = None) -> int:
    """End one session of somebody else, or all; gives how many. Raises NotFound where it is over, BadInput
    for one's own: those take the password (`showing_who.end_own_sessions`).
    """
    if user_id == desk.actor.user_id:
        raise BadInput("End your own sessions under your name, with your password.")
    return _end(desk, whose(desk, user_id), session_id)


@anyone_in_the_shop
def end_own_sessions(desk: Desk, session_id: int | None = None) -> int:
    """End one's own, that one or each but the one that asks; gives how many. Raises NotFound as above."""
    return _end(desk, whose(desk, desk.actor.user_id), session_id)


def _end(desk: Desk, user: User, session_id: int | None) -> int:
    if session_id is None:
        ended = store.end_sessions_of(desk.session, user.id or 0, but=desk.actor.session_id)
        desk.note_down("ended sessions of", "user", user.id, ended=ended)
        return ended
    row = store.session_with_id(desk.session, desk.shop.id, session_id)
    if row is None or row.user_id != user.id:
        raise NotFound(_NONE_SUCH)
    store.end_session(desk.session, row.cookie_hash)
    desk.note_down("ended a session of", "user", user.id, device=row.device)
    return 1


@open_to_anyone
def sign_out(desk: Desk, cookie: str) -> None:
    """End the session; a cookie that is not known is no error."""
    store.end_session(desk.session, secrets.kept(cookie))


def _is_open(desk: Desk, row: SignIn, shared: SharedDevice | None) -> bool:
    if shared is not None and is_programming(shared.programming_until, desk.now):
        return True
    return holds(row.created_at, row.ends_at, desk.now) and not is_idle(
        row.last_seen_at, _idle_limit(desk, shared), desk.now
    )


def _idle_limit(desk: Desk, shared: SharedDevice | None) -> timedelta:
    minutes = settings.in_force(desk).shared_device_lock_minutes if shared else 0
    return min(IDLE_AT_MOST, timedelta(minutes=minutes)) if minutes else IDLE_AT_MOST


def _view(desk: Desk, row: SignIn, shared: SharedDevice | None) -> SessionView:
    return SessionView(
        row.id or 0,
        row.device,
        shared.name if shared else "",
        row.door,
        row.created_at,
        row.last_seen_at or row.created_at,
        row.ends_at,
        row.id == desk.actor.session_id,
    )
