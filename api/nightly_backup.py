"""The night's backup, made by the one process that `serve` started, however many workers answer."""

from __future__ import annotations

import threading
import time

from sqlalchemy.exc import DBAPIError

from api.commands import say_aside
from kb.desk.context import RunningShop
from kb.desk.shop import backups
from kb.errors import KbError

LOOK_EVERY = 300  # seconds


def back_up_in_background(shop: RunningShop) -> threading.Thread:
    """Start looking, at once and then every few minutes, whether the night's copy is due."""
    thread = threading.Thread(target=_keep_looking, args=(shop,), name="nightly backup", daemon=True)
    thread.start()
    return thread


def _keep_looking(shop: RunningShop) -> None:
    while True:
        look(shop)
        time.sleep(LOOK_EVERY)


def look(shop: RunningShop) -> None:
    """One look. A failure is said on the console and, by the note it leaves, on every page of the lead."""
    try:
        name = backups.back_up_nightly(shop)
    except (KbError, OSError, DBAPIError) as error:
        say_aside(f"beforeflash: {error}")
        return
    if name:
        say_aside(f"Backup made: {name}")
