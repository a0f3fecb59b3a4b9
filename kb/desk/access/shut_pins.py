"""A PIN that was tried wrong ten times in a row is shut until its person shows their password.

Waits alone (`waits.py`, 8 tries an hour) would let somebody patient go through the 10,000 PINs of four digits
in two months. NIST SP 800-63B-4, 3.2.2, allows 100 wrong tries in a row at most; with so few digits it is ten
here (a guess). Whoever knows the password opens it: a stranger who shuts it costs its person one password.
"""

from __future__ import annotations

import logging

from kb.desk.context import Desk
from kb.errors import NotSignedIn
from kb.records.tables import User

MOST_WRONG = 10
SHUT = (
    f"This PIN is shut: it was wrong {MOST_WRONG} times in a row. Sign in with the password once, and it is "
    "open again."
)

_log = logging.getLogger("beforeflash")


def is_shut(user: User) -> bool:
    return user.pin_hash is not None and user.pin_wrong >= MOST_WRONG


def refuse_shut(user: User) -> None:
    """Raises NotSignedIn."""
    if is_shut(user):
        raise NotSignedIn(SHUT)


def take_try(user: User) -> None:
    """Counted before it is checked, as every try is. Raises NotSignedIn where it is shut."""
    refuse_shut(user)
    user.pin_wrong += 1


def was_wrong(desk: Desk, user: User) -> None:
    """The trail and the log say when it is shut."""
    if user.pin_wrong >= MOST_WRONG:
        _log.warning("the PIN of account %s is shut after %s wrong tries", user.id, MOST_WRONG)
        desk.note_down("shut the PIN of", "user", user.id)


def open_again(user: User) -> None:
    """After the right one, the password or another PIN."""
    user.pin_wrong = 0
