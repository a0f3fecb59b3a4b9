"""Work that goes on after the answer has left."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable

_log = logging.getLogger("beforeflash")


def run_apart(work: Callable[[], None], wait_seconds: float) -> None:
    """Run `work` in a daemon thread and wait a little for it: short work is then done before the answer.

    A server that stops does not wait for the rest; an import's job is carried on later.
    """

    def quietly() -> None:
        try:
            work()
        except Exception:
            _log.exception("an import stopped; its job says why")

    thread = threading.Thread(target=quietly, name="import", daemon=True)
    thread.start()
    thread.join(wait_seconds)
