"""Work that goes on after the answer has left."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable

PAGE_WAITS, CALL_WAITS = 8, 10
"""Seconds: what is done within them is answered when it is done, longer work while it goes on."""
_log = logging.getLogger("beforeflash")


def run_apart(work: Callable[[], None], wait_seconds: float) -> None:
    """Run `work` in a daemon thread and wait a little for it: short work is then done before the answer.

    A server that stops does not wait for the rest; its job is carried on or undone later.
    """

    def quietly() -> None:
        try:
            work()
        except Exception:
            _log.exception("work after an answer stopped; its job says why")

    thread = threading.Thread(target=quietly, name="after the answer", daemon=True)
    thread.start()
    thread.join(wait_seconds)
