"""Work of numpy by several threads: it lets the interpreter go while it counts."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

MOST = 4
Thing = TypeVar("Thing")
Made = TypeVar("Made")


def at_once(work: Callable[[Thing], Made], things: Sequence[Thing]) -> list[Made]:
    """What is made of each, in their order; of one by itself."""
    if len(things) < 2:
        return list(map(work, things))
    with ThreadPoolExecutor(min(MOST, len(things))) as threads:
        return list(threads.map(work, things))
