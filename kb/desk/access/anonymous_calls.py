"""How often somebody unknown may call, counted in the database: one limit, whatever the workers and hosts.

An address has `AT_ONCE` calls after a pause, and all of them again over a minute. A worker takes ten at a
time, good for ten seconds, so that counting is a write in ten calls and none for a call that is refused.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from kb.desk.access.devices import Device
from kb.desk.context import Desk, open_to_anyone
from kb.records.store.rows import save
from kb.records.store.shop import anonymous_calls as store
from kb.records.tables import AnonymousCalls

AT_ONCE, ALL_AGAIN_AFTER = 120, timedelta(minutes=1)
A_HANDFUL = 10
GOOD_FOR = timedelta(seconds=10)
"""A handful that was taken and not used by then is lost."""
_A_CALL_TAKES = ALL_AGAIN_AFTER / AT_ONCE


@dataclass(frozen=True, slots=True)
class Handful:
    """So many calls, or none and how long until there is a handful again."""

    calls: int
    wait: timedelta = timedelta()


def whose(address: str) -> str:
    """Whom calls are counted for: of IPv6 a household has 2^64 addresses."""
    return Device(address).subscriber or "unknown"


@open_to_anyone
def take_handful(desk: Desk, address: str) -> Handful:
    """Take at most ten of the calls that `whose(address)` has left."""
    row = store.of(desk.session, desk.shop.id, address)
    left = _left_now(desk, row)
    if left < 1:
        return Handful(0, (A_HANDFUL - left) * _A_CALL_TAKES)
    taken = min(A_HANDFUL, int(left))
    if row is None:
        store.forget_older(desk.session, desk.shop.id, desk.now - ALL_AGAIN_AFTER)
        row = AnonymousCalls(shop_id=desk.shop.id, address=address, calls_left=0, counted_at=desk.now)
    row.calls_left, row.counted_at = left - taken, desk.now
    save(desk.session, row)
    return Handful(taken)


def _left_now(desk: Desk, row: AnonymousCalls | None) -> float:
    if row is None:
        return AT_ONCE
    since = max(desk.now - row.counted_at, timedelta())
    return min(AT_ONCE, row.calls_left + since / _A_CALL_TAKES)
