"""Places in a text: from a letter up to, not with, another one."""

from __future__ import annotations

from collections.abc import Iterable


def overlaps(begins: int, ends: int, places: Iterable[tuple[int, int]]) -> bool:
    """Whether a place shares a letter with one of these."""
    return any(begins < other_ends and other_begins < ends for other_begins, other_ends in places)
