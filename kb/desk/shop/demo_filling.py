"""How far the demo is filled. It stands with the revisions, so that every process reads it as it grows."""

from __future__ import annotations

from kb.desk.context import Desk, open_to_anyone, owner_only
from kb.errors import NotReady
from kb.records.pending import put_revision
from kb.records.store.shop.shop import add_topic

_TOPIC = "filled"
_WHOLE = 100
"""Percent."""


@owner_only
def begin_filling(desk: Desk) -> None:
    """From now on everybody is told that the shop is not whole yet."""
    add_topic(desk.session, desk.shop.id, _TOPIC)


@owner_only
def note_progress(desk: Desk, done: int, of: int) -> None:
    """So many of all lines are in once this transaction commits; with the last of them the shop is whole."""
    put_revision(desk.session, desk.shop.id, _TOPIC, _WHOLE * done // of)


@open_to_anyone
def percent_filled(desk: Desk) -> int | None:
    """How much of the story is in, 0 to 99; None for a shop that is whole, as every real one is."""
    percent = desk.revisions().get(_TOPIC, _WHOLE)
    return percent if percent < _WHOLE else None


@open_to_anyone
def refuse_while_filling(desk: Desk) -> None:
    """Raise NotReady while figures would be those of half a story."""
    percent = percent_filled(desk)
    if percent is not None:
        raise NotReady(
            f"The demo is being filled: {percent}% of its two years are in. Ask again in a few seconds.",
            details={"percent": percent, "retry_after": 2},
        )
