"""Which of its hosts makes the night's copy of a shop on PostgreSQL, and how the last copy went.

The turn is a row of the database. Whoever made the last copy goes first, so that the nights lie in one
folder; another host takes the turn where that one has failed, or has not made it for an hour.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

from kb.desk.context import Desk, lead_or_owner, owner_only
from kb.records.files.kept_nights import begin_of, night_of
from kb.records.store.rows import save
from kb.records.store.shop import backup_turn as store
from kb.records.tables import BackupTurn

TRY_AGAIN = timedelta(hours=1)
"""After a failure, and for one that was begun and never ended."""
GIVES_WAY = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class LastCopy:
    """The newest copy of any host: when, where, under which name. `failure`: of the last try, a sentence."""

    made_at: datetime | None = None
    made_on: str = ""
    made_as: str = ""
    failure: str = ""


def may_take(row: BackupTurn | None, host: str, now: datetime, zone: tzinfo) -> bool:
    """Whether this host makes the copy of this night now."""
    if row is None:
        return True
    tonight = night_of(now, zone)
    if row.night == tonight:
        return False
    if not row.ended or (row.failure and row.host == host):
        return abs(now - row.taken_at) >= TRY_AGAIN
    goes_first = row.made_on in ("", host) or bool(row.failure)
    return goes_first or now - begin_of(tonight, zone) >= GIVES_WAY


@owner_only
def take_turn(desk: Desk, host: str) -> bool:
    """Begin the night's copy, unless it is made or another host is at it. Commit before it is made."""
    row = store.of(desk.session, desk.shop.id)
    if not may_take(row, host, desk.now, desk.shop.zone):
        return False
    row = row or BackupTurn(shop_id=desk.shop.id, host=host, taken_at=desk.now)
    row.host, row.taken_at, row.ended, row.failure = host, desk.now, False, ""
    save(desk.session, row)
    return True


@owner_only
def note_copy(desk: Desk, host: str, name: str, *, begun: datetime, nightly: bool) -> None:
    """A copy lies on that host under that name."""
    row = store.of(desk.session, desk.shop.id) or BackupTurn(
        shop_id=desk.shop.id, host=host, taken_at=begun, ended=True
    )
    row.made_at, row.made_on, row.made_as = begun, host, name
    if nightly:
        row.night, row.ended = night_of(begun, desk.shop.zone), True
    row.failure = ""
    save(desk.session, row)


@owner_only
def end_turn(desk: Desk, *, failure: str) -> None:
    """No copy was made; without a `failure` it is tried again soon."""
    row = store.of(desk.session, desk.shop.id)
    if row is not None:
        row.ended, row.failure = True, failure
        save(desk.session, row)


@lead_or_owner
def last_copy(desk: Desk) -> LastCopy:
    """What vouches for the shop. A copy of days to come, by a clock that was ahead, vouches for nothing."""
    row = store.of(desk.session, desk.shop.id)
    if row is None:
        return LastCopy()
    broken = not row.ended and desk.now - row.taken_at >= TRY_AGAIN
    failure = row.failure or ("It was broken off before its end." if broken else "")
    if row.made_at is None or row.made_at > desk.now:
        return LastCopy(failure=failure)
    return LastCopy(row.made_at, row.made_on, row.made_as, failure)
