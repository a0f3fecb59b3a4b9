"""The sign of life of a job: a dead process gives none, and its job says so within seconds."""

from __future__ import annotations

import logging
import threading
from collections.abc import Iterator
from contextlib import contextmanager

from kb.desk.context import RunningShop
from kb.desk.imports.import_jobs import TurnIsOver, put_summary, row_in_turn
from kb.nouns.people import Actor

SECONDS = 2.0
_log = logging.getLogger("beforeflash")


@contextmanager
def beating(shop: RunningShop, actor: Actor, job_id: int, turn: int) -> Iterator[None]:
    """While the block works, say every two seconds that the job of this turn lives."""
    ended = threading.Event()

    def beat() -> None:
        while not ended.wait(SECONDS):
            try:
                with shop.writing(actor) as desk:
                    put_summary(row_in_turn(desk, job_id, turn), desk)
            except TurnIsOver:
                return
            except Exception:  # a sign that could not be given costs nothing but that sign
                _log.warning("import %s could not say that it lives", job_id, exc_info=True)

    thread = threading.Thread(target=beat, name=f"import {job_id}", daemon=True)
    thread.start()
    try:
        yield
    finally:
        ended.set()
        thread.join()
