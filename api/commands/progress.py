"""How far long work is, for somebody who looks on: only on a terminal."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from api.commands import say_aside
from kb.desk.imports.import_told import HowFar, nobody_looks

Step = Callable[[str], None]


@contextmanager
def how_far(what: str) -> Iterator[HowFar]:
    """A bar with the time that is left."""
    if not sys.stderr.isatty():
        yield nobody_looks
        return
    import click  # a tenth of a second that no script waits for

    with click.progressbar(length=0, label=what, show_pos=True, file=sys.stderr) as shown:

        def tell(done: int, total: int) -> None:
            shown.length = total
            shown.update(done - shown.pos)

        yield tell


@contextmanager
def steps() -> Iterator[Step]:
    """What is being done, a line each."""
    yield say_aside if sys.stderr.isatty() else lambda _words: None
