"""How much is done while the only pen is held: as much as takes a moment on this computer."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

A_MOMENT = 0.08  # seconds; with the commit, on a busy computer, below the half second that others may wait
FIRST, FEWEST, MOST = 40, 5, 400
BETWEEN = 0.03  # seconds; who waits for the pen asks for it every hundredth


class Slices:
    """Slices of a long work, each as large as the last one tells; others write between them."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self.size = FIRST
        self._clock = clock

    @contextmanager
    def one(self) -> Iterator[int]:
        """How many things to take in hand in this block, which is measured. Enter it with the pen in hand."""
        begun = self._clock()
        yield self.size
        took = self._clock() - begun
        wanted = self.size * min(2.0, A_MOMENT / took) if took > 0 else 2 * self.size
        self.size = int(min(MOST, max(FEWEST, wanted)))

    def let_others(self) -> None:
        """A pause, without the pen."""
        threading.Event().wait(BETWEEN)  # a faked clock breaks sleep
