"""Work of numpy by two threads, of which this is one: it lets the interpreter go while it counts.

A third would keep what it needed for itself: each thread has memory of its own, which is not given back.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

Thing = TypeVar("Thing")
Made = TypeVar("Made")


def at_once(work: Callable[[Thing], Made], things: Sequence[Thing]) -> list[Made]:
    """What is made of each, in their order; of one by itself."""
    if len(things) < 2:
        return list(map(work, things))
    todo, made = deque(enumerate(things)), dict[int, Made]()

    def work_off() -> None:
        while True:
            try:
                at, thing = todo.popleft()
            except IndexError:
                return
            made[at] = work(thing)

    with ThreadPoolExecutor(1) as other:
        beside = other.submit(work_off)
        work_off()
        beside.result()
    return [made[at] for at in range(len(things))]
