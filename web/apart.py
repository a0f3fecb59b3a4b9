"""Work that goes on after the answer has left."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable

SECONDS_TO_WAIT = 5
"""Short work is done before the answer, so that its page shows the end of it."""

_log = logging.getLogger("beforeflash")


def run_apart(work: Callable[[], None]) -> None:
    """Run `work` in a daemon thread and wait a little: a server that stops does not wait for it."""

    def quietly() -> None:
        try:
            work()
        except Exception:
            _log.exception("an import stopped; its job says why")

    thread = threading.Thread(target=quietly, name="import", daemon=True)
    thread.start()
    thread.join(SECONDS_TO_WAIT)
