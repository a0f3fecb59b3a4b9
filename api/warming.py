"""Making the search index when a server process starts, so that the first search need not."""

from __future__ import annotations

import threading
import time

from api.commands import say
from kb.desk import search_memory
from kb.desk.context import RunningShop


def warm_in_background(shop: RunningShop) -> threading.Thread:
    """Start making the index, telling the console how far it is. A search that comes first waits for it."""
    thread = threading.Thread(target=_warm, args=(shop,), name="search index", daemon=True)
    thread.start()
    return thread


def _warm(shop: RunningShop) -> None:
    start = time.monotonic()
    held = search_memory.warm(shop, lambda taken: say(f"Search index: {taken:,} read"))
    said = f"{held:,} notes and past concerns" if held else "nothing on file yet"
    say(f"Search index ready: {said}, {time.monotonic() - start:.1f} s")
