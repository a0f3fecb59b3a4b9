"""What follows from a concern's words and vehicle, the notes on file and shop talk, kept between requests."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from kb.desk.context import Desk
from kb.records.store.concerns import ConcernOnFile

Value = TypeVar("Value")
_TOPICS = ("notes", "notes_removed", "lexicon")


def remembered(desk: Desk, held: ConcernOnFile, what: str, read: Callable[[], Value]) -> Value:
    """What `read` gives, made anew when the concern, its vehicle, a note, shop talk or a family changes."""
    revisions = desk.revisions()
    key = (held.concern.version, held.vehicle.version, *(revisions[topic] for topic in _TOPICS))
    return desk.memory.recall((what, held.concern.id), key, read)
