"""A tablet turned to a customer: its session shows one question and nothing of the shop, until somebody of
the shop shows who they are. It is so turned only where somebody has a PIN to turn it back with.
"""

from __future__ import annotations

from kb.desk.access import secrets
from kb.desk.access.accounts import actor_of
from kb.desk.access.devices import Device, cookie_of
from kb.desk.access.sessions import SignedIn
from kb.desk.access.showing_who import Shown, show
from kb.desk.context import Desk, RunningShop, anyone_in_the_shop
from kb.errors import NotSignedIn
from kb.nouns.people import Actor
from kb.records.store.shop import people
from kb.records.store.shop import ways_in as store
from kb.records.tables import SignIn, User


@anyone_in_the_shop
def may_be_turned(desk: Desk) -> bool:
    """Whether the session that asks can be turned to a customer: it is one, and somebody has a PIN."""
    return desk.actor.session_id is not None and people.somebody_has_pin(desk.session, desk.shop.id)


@anyone_in_the_shop
def hand_over(desk: Desk, concern_id: int, device: Device) -> SignedIn | None:
    """Turn the session that asks to the customer of this concern; None where it cannot be turned."""
    if not may_be_turned(desk):
        return None
    desk.note_down("turned the tablet to the customer", "concern", concern_id)
    row, user = _session(desk)
    return _renewed(desk, row, user, device, concern_id)


def take_back(shop: RunningShop, actor: Actor, shown: Shown) -> SignedIn:
    """The session is whole again, once its person has shown who they are. Raises what `show` raises."""

    def turn(desk: Desk, user: User) -> SignedIn:
        return _renewed(desk, _session(desk)[0], user, shown.device, None)

    return show(shop, actor, shown, turn)


def _session(desk: Desk) -> tuple[SignIn, User]:
    this = desk.actor.session_id
    row = None if this is None else store.session_with_id(desk.session, desk.shop.id, this)
    user = people.user_with_id(desk.session, desk.actor.user_id)
    if row is None or user is None or row.user_id != user.id:
        raise NotSignedIn("This session has ended. Sign in again.")
    return row, user


def _renewed(desk: Desk, row: SignIn, user: User, device: Device, concern_id: int | None) -> SignedIn:
    """What it shows changes with its cookie: no page of before comes back by an old one (ASVS 5.0, 7.2.4)."""
    cookie = secrets.new_secret()
    row.cookie_hash, row.form_token = secrets.kept(cookie), secrets.new_secret()
    row.handed_over_at_concern, row.last_seen_at = concern_id, desk.now
    return SignedIn(cookie, row.form_token, actor_of(user), cookie_of(desk, device, user.id or 0))
