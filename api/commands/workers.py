"""Worker processes that share what they import.

Where processes can be divided (everywhere but on Windows) one process imports the pages and maps the search
index, and every worker is divided from it: what takes seconds and most of the memory is done and held once.
On Windows each worker starts by itself.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
import time
from multiprocessing.connection import wait

from api.settings import ProcessSettings

SHARED = "web.shared_start"
"""Imported by its name: pages are above the interface."""

_MEMORY = {"MALLOC_ARENA_MAX": "2", "MALLOC_MMAP_THRESHOLD_": str(4 << 20)}
"""Of Linux's allocator: what a thread is done with is another's, and a large array goes back when it is done;
else each thread keeps what its greatest page took.
"""

LEAVES_SECONDS = 15.0
"""So long at most it finishes what was asked, then it is gone: what is saved is saved."""


def prepare(process: ProcessSettings, url: str) -> None:
    """Start importing what the workers of a shop at `url` share, beside whatever this process does next.

    Workers know the shop, and where they listen, from the environment as it is then. Does nothing the second
    time.
    """
    os.environ["BEFOREFLASH_DATABASE_URL"] = url
    os.environ.update(process.for_workers())
    if sys.platform != "win32" and process.workers > 1:
        from multiprocessing import forkserver

        for name, value in _MEMORY.items():
            os.environ.setdefault(name, value)
        forkserver.set_forkserver_preload([SHARED])
        forkserver.ensure_running()


def divide() -> None:
    """Let uvicorn divide its workers from that process; it has no setting for it."""
    if sys.platform != "win32":
        from uvicorn import _subprocess

        _subprocess.spawn = multiprocessing.get_context("forkserver")  # type: ignore[assignment]


def end_with_the_server() -> None:
    """From now on, if this process is a worker: it would keep the port of a server that was killed, and
    answer from a program that nobody can stop by its name.
    """
    server = multiprocessing.parent_process()
    if server is not None:
        threading.Thread(target=_watch, args=(server.sentinel,), name="the server", daemon=True).start()


def _watch(sentinel: int) -> None:
    wait([sentinel])
    signal.raise_signal(signal.SIGTERM)
    time.sleep(LEAVES_SECONDS)
    os._exit(1)
