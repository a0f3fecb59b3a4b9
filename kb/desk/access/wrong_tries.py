"""How often a wrong password or PIN was given lately, for whom: what an owner sees of guessing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from kb.desk.access import waits
from kb.desk.access.devices import STRANGER
from kb.desk.access.waits import WRONG, Guessed
from kb.desk.access.whose import whose
from kb.desk.context import Desk, anyone_in_the_shop, owner_only
from kb.records.store.shop import wrong_tries as store

LATELY = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class PinTries:
    """Wrong tries of a PIN `in_a_row` from all devices together, when the last one was, and how long a device
    that does not know its person must `wait` for the next. Where ten shut it, the last one did.
    """

    in_a_row: int
    last_at: datetime | None
    wait: timedelta

    @property
    def is_slowed(self) -> bool:
        return self.wait > waits.NO_WAIT or self.in_a_row >= waits.FREE_BY_NAME


@owner_only
def by_person(desk: Desk) -> dict[int, int]:
    """Wrong tries of the last 7 days by account, as the trail has them; whoever had none is not in it."""
    actions = [WRONG.format(what) for what in Guessed]
    return store.counted_since(desk.session, desk.shop.id, actions, desk.now - LATELY)


@anyone_in_the_shop
def of_pin(desk: Desk, user_id: int) -> PinTries:
    """Of one's own PIN, or as the owner of anybody's."""
    user = whose(desk, user_id)
    last_at = store.last_of(desk.session, desk.shop.id, WRONG.format(Guessed.PIN), user_id)
    wait = waits.wait_before(desk, user.name, STRANGER, Guessed.PIN)
    return PinTries(user.pin_wrong, last_at, wait)
