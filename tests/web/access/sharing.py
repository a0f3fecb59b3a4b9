"""A tablet that several people share, and people with a PIN, for tests of it."""

from __future__ import annotations

from kb.desk.access import secrets, showing_who
from kb.desk.access.devices import STRANGER
from kb.desk.access.showing_who import Shown
from kb.desk.context import CONSOLE, RunningShop
from kb.records.tables import User
from tests.factories import actor_of
from tests.web.browsing import PASSWORD, Page, Visitor

PINS = {"tech": "4071", "lead": "6835", "owner": "90421"}


def give_pin(shop: RunningShop, name: str) -> int:
    """Their PIN of PINS, kept as the page keeps it; gives their id."""
    whose = actor_of(shop, name)
    with shop.writing(CONSOLE) as desk:
        user = desk.session.get(User, whose.user_id)
        assert user is not None
        if user.password_hash is None:
            user.password_hash = secrets.hash_password(PASSWORD)
    password = Shown(whose.user_id, PASSWORD, STRANGER)
    showing_who.set_pin(shop, whose, PINS[name], PINS[name], password)
    return whose.user_id


def shared_tablet(shop: RunningShop, *people: str) -> Visitor:
    """A tablet that the lead has just marked as shared and left; these people have a PIN."""
    tablet = Visitor(shop).sign_in("lead")
    for name in people:
        give_pin(shop, name)
    tablet.send("/shop/shared-tablets", "/shop/shared-tablets", {"device": "tablet, bay 2"})
    switch(tablet, "/concerns")
    return tablet


def switch(tablet: Visitor, on: str) -> Page:
    """Whoever is at the tablet leaves it on that page."""
    return tablet.send(on, "/sign-out")


def take_up(
    tablet: Visitor, shop: RunningShop, name: str, pin: str = "", expect: int = 200, **more: str
) -> Page:
    """Somebody taps their name and types their PIN."""
    at = f"/who/{actor_of(shop, name).user_id}"
    return tablet.send(at, at, {"pin": pin or PINS[name], **more}, expect)
