"""What a server process does beside its answers.

At its start it makes the search index, so that the first search need not. Then it works out what stored
candidates are about, whenever notes or an import leave some to look at.
"""

from __future__ import annotations

import logging
import threading
import time

from api.commands import say
from kb.desk.bay.advice import abouts
from kb.desk.bay.search import search_memory
from kb.desk.context import RunningShop

RENEWED_EVERY_SECONDS = 60.0
_log = logging.getLogger("beforeflash")


def warm_in_background(shop: RunningShop) -> threading.Thread:
    """Start making the index, telling the console how far it is. A search that comes first waits for it."""
    thread = threading.Thread(target=_work, args=(shop,), name="search index", daemon=True)
    thread.start()
    return thread


def _work(shop: RunningShop) -> None:
    _warm(shop)
    while True:
        try:
            abouts.renew_abouts(shop)
        except Exception:
            _log.exception("stored candidates could not be looked at; tried again in a minute")
        threading.Event().wait(RENEWED_EVERY_SECONDS)  # a faked clock breaks sleep


def _warm(shop: RunningShop) -> None:
    start = time.monotonic()
    held = search_memory.warm(shop, lambda taken: say(f"Search index: {taken:,} read"))
    said = f"{held:,} notes and past concerns" if held else "nothing on file yet"
    say(f"Search index ready: {said}, {time.monotonic() - start:.1f} s")
