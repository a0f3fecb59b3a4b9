"""How often somebody unknown may call: what this process has in hand of the calls counted in the database."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from datetime import datetime, timedelta

from kb.desk.access.anonymous_calls import GOOD_FOR, take_handful, whose
from kb.desk.context import RunningShop

_MOST_ADDRESSES = 10_000  # an attacker with many addresses must not fill the memory
_BUSY = timedelta(seconds=1)
_NO_WAIT = timedelta()
_REFUSED = -1


@dataclass(slots=True)
class _InHand:
    """Calls that may be made until then; or `_REFUSED`: none may be before."""

    calls: int
    until: datetime


class Limits:
    """What this process allows to people whom it does not know, within the limit of all processes."""

    def __init__(self) -> None:
        self._in_hand: dict[str, _InHand] = {}
        self._guard, self._counting = threading.Lock(), threading.Lock()

    def take(self, shop: RunningShop, address: str) -> timedelta:
        """Use up one call from there. Returns how long until the next one may come, nothing if this one may.

        One thread at a time asks the database, or those who knock would keep everybody's threads waiting.
        """
        known_by, now = whose(address), shop.clock()
        wait = self._out_of_hand(known_by, now)
        if wait is not None:
            return wait
        if not self._counting.acquire(timeout=_BUSY.total_seconds()):
            return _BUSY
        try:
            wait = self._out_of_hand(known_by, now)
            return self._asked(shop, known_by, now) if wait is None else wait
        finally:
            self._counting.release()

    def _out_of_hand(self, known_by: str, now: datetime) -> timedelta | None:
        """None where the database must be asked."""
        with self._guard:
            held = self._in_hand.get(known_by)
            if held is None or held.calls == 0 or not _NO_WAIT < held.until - now <= GOOD_FOR:
                return None
            if held.calls == _REFUSED:
                return held.until - now
            held.calls -= 1
            return _NO_WAIT

    def _asked(self, shop: RunningShop, known_by: str, now: datetime) -> timedelta:
        with shop.writing() as desk:
            taken = take_handful(desk, known_by)
        with self._guard:
            if len(self._in_hand) >= _MOST_ADDRESSES:
                self._in_hand = {key: one for key, one in self._in_hand.items() if one.until > now}
            if len(self._in_hand) >= _MOST_ADDRESSES:
                self._in_hand.clear()
            # One of a handful is used up by this call; of none there is none before the wait is over.
            self._in_hand[known_by] = _InHand(taken.calls - 1, now + (taken.wait or GOOD_FOR))
        return taken.wait
