"""How far long work is, for somebody who looks on: only on a terminal, and gone when it is done."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

HowFar = Callable[[int, int], None]
"""(done, of how many)."""
Step = Callable[[str], None]


@contextmanager
def how_far(what: str) -> Iterator[HowFar]:
    """A bar with the time that is left."""
    if not sys.stderr.isatty():
        yield lambda _done, _total: None
        return
    from rich.console import Console  # a tenth of a second that no script waits for
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as shown:
        task = shown.add_task(what, total=None)
        yield lambda done, total: shown.update(task, completed=done, total=total)


@contextmanager
def steps() -> Iterator[Step]:
    """What is being done, a few words each."""
    if not sys.stderr.isatty():
        yield lambda _words: None
        return
    from rich.console import Console  # as above

    with Console(stderr=True).status("") as shown:
        yield lambda words: shown.update(words)
