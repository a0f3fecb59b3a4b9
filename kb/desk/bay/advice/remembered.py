"""What follows from a concern's words and vehicle, the notes on file and shop talk, kept between requests."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import TypeVar

from kb.desk.context import Desk
from kb.records.store.bay.concerns import ConcernOnFile

Value = TypeVar("Value")
_TOPICS = ("notes", "notes_removed", "lexicon")
_PLACES = 500
"""So many concerns are remembered at most; another one takes the place of one of them."""


def remembered(desk: Desk, held: ConcernOnFile, what: Hashable, read: Callable[[], Value]) -> Value:
    """What `read` gives, made anew when the concern, its vehicle, a note, shop talk or a family changes."""
    concern, revisions = held.concern, desk.revisions()
    key = (concern.id, concern.version, held.vehicle.version, *(revisions[topic] for topic in _TOPICS))
    return desk.memory.recall((what, (concern.id or 0) % _PLACES), key, read)
