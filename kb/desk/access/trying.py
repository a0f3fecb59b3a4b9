"""One try to show who one is: counted, checked outside of every transaction, then acted on or noted down.

A password takes a tenth of a second to check on purpose, and nobody's pen is held meanwhile.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TypeVar

from kb.desk.access import waits
from kb.desk.access.devices import Device
from kb.desk.context import Desk, RunningShop
from kb.errors import NotSignedIn, TooMany

Result = TypeVar("Result")


def try_once(
    shop: RunningShop,
    name: str,
    device: Device,
    fits: Callable[[], bool],
    then: Callable[[Desk], Result],
    *,
    what: waits.Guessed = waits.Guessed.PASSWORD,
    refusal: str = "Name and password do not match. Check capitals, or ask the owner.",
) -> Result:
    """What `then` gives, in one transaction, where the secret fits and the name need not wait.

    Raises TooMany without checking anything, or NotSignedIn with `refusal` and the wait that follows.
    """
    with shop.reading() as desk:  # who has to wait anyway takes no pen
        wait = waits.wait_before(desk, name, device, what)
    if wait <= waits.NO_WAIT:
        with shop.writing() as desk:
            wait = waits.may_try(desk, name, device, what)
    if wait > waits.NO_WAIT:
        raise TooMany(
            f"Too many wrong tries. Wait {waits.in_words(wait)}, then try again.", details=_seconds(wait)
        )
    right = fits()
    with shop.writing() as desk:
        waits.tried(desk, name, device, right=right, what=what)
        if right:
            return then(desk)
        wait = waits.wait_before(desk, name, device, what)
    if wait > waits.NO_WAIT:
        refusal = f"{refusal} After this wrong try, wait {waits.in_words(wait)}."
    raise NotSignedIn(refusal, details=_seconds(wait))


def _seconds(wait: timedelta) -> dict[str, int]:
    """For programs and for the page that counts down; empty where there is no wait."""
    return {"retry_after": -int(-wait.total_seconds() // 1)} if wait > waits.NO_WAIT else {}
