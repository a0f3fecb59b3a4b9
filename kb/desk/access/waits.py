"""How often somebody may try to sign in: after wrong tries in a row a wait, and each wrong one doubles it.

It is counted by name, and by the address that the tries come from; a device on which the person was signed
in before is counted by itself, so that nobody's guesses keep the right person out. Between the wrong tries of
a name lie nothing, nothing, 1, 2, 4, 8, 16, 32 minutes and then an hour: 8 in any hour, with as many from
each of its person's own devices. (NIST SP 800-63B-4, 3.2.2, names growing waits and known devices beside a
limit of 100 in a row; that would shut the account, and so let a stranger shut it. A PIN is shut after ten:
`shut_pins.py`.)

A try is counted before it is checked, in a transaction of its own: two processes at once cannot take one try
twice, and a server that dies in between gives none away. `tried` takes it back where it was right.
"""

from __future__ import annotations

import hashlib
import hmac
import logging
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from kb.desk.access import shut_pins
from kb.desk.access.devices import Device, key_of
from kb.desk.context import Desk, open_to_anyone
from kb.records.store.rows import save
from kb.records.store.shop import people, wrong_tries
from kb.records.tables import WrongTries

FIRST_WAIT = timedelta(minutes=1)
LONGEST_WAIT = timedelta(hours=1)
FORGOTTEN_AFTER = timedelta(days=1)
"""Without a try. Whoever comes back once a day has fewer tries than one who goes on."""
FREE_BY_NAME = 3
FREE_BY_ADDRESS = 20
"""A tablet, or a proxy, is many people's."""
NO_WAIT = timedelta()
WRONG = "gave a wrong {} for"
"""How the trail says it of a person; of nobody, without an id."""


_log = logging.getLogger("beforeflash")


class Guessed(StrEnum):
    """What is tried, in the trail's words."""

    PASSWORD = "password"  # noqa: S105  # a word of the trail
    PIN = "PIN"


@dataclass(frozen=True, slots=True)
class Counted:
    """One of those that a try is counted for."""

    whose: str
    free: int


def wait_after(in_a_row: int, free: int) -> timedelta:
    """From the last of so many wrong tries to the next try, where the first `free` cost nothing."""
    wait, doublings = FIRST_WAIT, in_a_row - free
    while doublings > 0 and wait < LONGEST_WAIT:
        wait, doublings = wait * 2, doublings - 1
    return NO_WAIT if in_a_row < free else min(wait, LONGEST_WAIT)


@open_to_anyone
def wait_before(desk: Desk, name: str, device: Device, what: Guessed = Guessed.PASSWORD) -> timedelta:
    """How long until the next try of this name from this device, as far as reading tells: nothing as well
    where the clock was set back, which `may_try` puts right.
    """
    if wrong_tries.device_key(desk.session, desk.shop.id) is None:
        return NO_WAIT
    counted = _counted(desk, name, device, what)
    rows = wrong_tries.of(desk.session, desk.shop.id, [one.whose for one in counted])
    told = {whose: row for whose, row in rows.items() if row.last_at <= desk.now}
    return _longest(counted, told, desk.now)


@open_to_anyone
def may_try(desk: Desk, name: str, device: Device, what: Guessed = Guessed.PASSWORD) -> timedelta:
    """Take one try: nothing where it may be checked, and otherwise how long to wait; never both.

    Commit before the check, and say by `tried` what came of it. Each kind of secret has tries of its own. A
    name that nobody has is counted just so. Raises NotSignedIn for a PIN that is shut.
    """
    user = people.user_named(desk.session, desk.shop.id, _folded(name))
    counted = _counted(desk, name, device, what)
    rows = wrong_tries.of(desk.session, desk.shop.id, [one.whose for one in counted])
    _begin_again_where_time_went_back(rows.values(), desk.now)
    wait = _longest(counted, rows, desk.now)
    if wait > NO_WAIT:
        return wait
    if user is not None and what is Guessed.PIN:
        shut_pins.take_try(user)
    for one in counted:
        row = rows.get(one.whose) or WrongTries(
            shop_id=desk.shop.id, whose=one.whose, in_a_row=0, last_at=desk.now
        )
        is_old = desk.now - row.last_at >= FORGOTTEN_AFTER
        row.in_a_row, row.last_at = 1 if is_old else row.in_a_row + 1, desk.now
        save(desk.session, row)
    wrong_tries.forget_older(desk.session, desk.shop.id, desk.now - FORGOTTEN_AFTER)
    return NO_WAIT


@open_to_anyone
def tried(desk: Desk, name: str, device: Device, *, right: bool, what: Guessed = Guessed.PASSWORD) -> None:
    """What came of a try that `may_try` gave. Right: all that it was counted for begins anew. Wrong: the
    trail says whose name it was and from where; of a name that nobody has not that: it may be a password.
    """
    user = people.user_named(desk.session, desk.shop.id, _folded(name))
    if right:
        whose = [one.whose for one in _counted(desk, name, device, what)]
        wrong_tries.forget(desk.session, desk.shop.id, whose)
        if user is not None:
            shut_pins.open_again(user)
        return
    user_id = user.id if user else None
    _log.warning("a wrong %s for account %s, from %s", what, user_id or "of nobody", device.around or "here")
    known = device.knows(user_id)
    desk.note_down(WRONG.format(what), "user", user_id, known_device=known, around=device.around)
    if user is not None and what is Guessed.PIN:
        shut_pins.was_wrong(desk, user)


@open_to_anyone
def forget_name(desk: Desk, name: str) -> None:
    """Wrong tries by this name begin anew: it has another password."""
    wrong_tries.forget(desk.session, desk.shop.id, [_of_name(desk, name, what) for what in Guessed])


def in_words(wait: timedelta) -> str:
    """A wait as it is said: 1 minute and more in minutes, rounded up."""
    seconds = -int(-wait.total_seconds() // 1)
    if seconds < 60:
        return f"{seconds} second{'s' if seconds != 1 else ''}"
    minutes = -(-seconds // 60)
    return f"{minutes} minute{'s' if minutes != 1 else ''}"


def _folded(name: str) -> str:
    return name.strip().lower()


def _counted(desk: Desk, name: str, device: Device, what: Guessed) -> tuple[Counted, ...]:
    user = people.user_named(desk.session, desk.shop.id, _folded(name))
    if user is not None and device.knows(user.id):
        return (Counted(_hidden(desk, f"{what} device {device.id} {user.id}"), FREE_BY_NAME),)
    return (
        Counted(_of_name(desk, name, what), FREE_BY_NAME),
        Counted(_hidden(desk, f"{what} address {device.subscriber}"), FREE_BY_ADDRESS),
    )


def _of_name(desk: Desk, name: str, what: Guessed) -> str:
    return _hidden(desk, f"{what} name {_folded(name)}")


def _hidden(desk: Desk, whose: str) -> str:
    """Somebody may type a password into the field of the name: it is kept as a keyed hash."""
    return hmac.new(key_of(desk).encode(), whose.encode(), hashlib.sha256).hexdigest()


def _longest(counted: Iterable[Counted], rows: dict[str, WrongTries], now: datetime) -> timedelta:
    waits = [
        rows[one.whose].last_at + wait_after(rows[one.whose].in_a_row, one.free) - now
        for one in counted
        if one.whose in rows
    ]
    return max([NO_WAIT, *waits])


def _begin_again_where_time_went_back(rows: Iterable[WrongTries], now: datetime) -> None:
    """A clock that was set back tells nothing of what went by: the wait begins again, once, and no longer."""
    for row in rows:
        if row.last_at > now:
            row.last_at = now
