"""How often a wrong password or PIN was given lately, for whom: what an owner sees of guessing."""

from __future__ import annotations

from datetime import timedelta

from kb.desk.access.waits import WRONG, Guessed
from kb.desk.context import Desk, owner_only
from kb.records.store.shop import wrong_tries as store

LATELY = timedelta(days=7)


@owner_only
def by_person(desk: Desk) -> dict[int, int]:
    """Wrong tries of the last 7 days by account, as the trail has them; whoever had none is not in it."""
    actions = [WRONG.format(what) for what in Guessed]
    return store.counted_since(desk.session, desk.shop.id, actions, desk.now - LATELY)
