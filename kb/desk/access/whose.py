"""Who may look after somebody's ways in: that person, and the owner."""

from __future__ import annotations

from kb.desk.access.accounts import user_with_id
from kb.desk.context import Desk
from kb.errors import NotAllowed
from kb.nouns.people import Role
from kb.records.tables import User

_FIRST = "Sign in with your password first. {} needs it."


def whose(desk: Desk, user_id: int) -> User:
    """The account. Raises NotAllowed for somebody else's, unless an owner asks, and NotFound for none."""
    if desk.actor.user_id != user_id and desk.actor.role != Role.OWNER.value:
        raise NotAllowed("Everybody sees to their own sessions and tokens; the owner may to anybody's.")
    return user_with_id(desk, user_id)


def refuse_by_pin(desk: Desk, what: str) -> None:
    """A PIN opens no other way in: it must not grow into more than it is."""
    if desk.actor.by_pin:
        raise NotAllowed(_FIRST.format(what))
