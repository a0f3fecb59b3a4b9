"""What follows from a concern's words and vehicle, the notes on file and shop talk, kept between requests."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import TypeVar

from kb.desk.bay.search.search_memory import NOTES_AND_TALK
from kb.desk.context import Desk
from kb.nouns.bay.concern_file import ConcernFile

Value = TypeVar("Value")
_PLACES = 500
"""So many concerns are remembered at most; another one takes the place of one of them."""


def remembered(
    desk: Desk, file: ConcernFile, what: str, read: Callable[[], Value], also: Hashable = None
) -> Value:
    """What `read` gives, made anew when the concern, its vehicle, a note, shop talk or a family changes.

    So it is where what it is `also` read of is another.
    """
    key = (file.id, file.version, file.vehicle_version, also, *desk.up_to(*NOTES_AND_TALK))
    return desk.memory.recall((what, file.id % _PLACES), key, read)
