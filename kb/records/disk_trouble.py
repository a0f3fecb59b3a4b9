"""What a database says when its disk is full or cannot be written, as the one sentence for it.

Codes: https://www.sqlite.org/rescode.html; PostgreSQL's documentation, appendix A (error codes).
"""

from __future__ import annotations

import sqlite3
from typing import Any

from sqlalchemy import Engine, event
from sqlalchemy.engine import ExceptionContext

from kb.errors import NotDone
from kb.nouns.shop.disk_trouble import CANNOT_OPEN, FULL, READ_ONLY

_IOERR_SHMSIZE = 4874  # the index of the write-ahead file found no room
_SQLITE = {
    sqlite3.SQLITE_FULL: FULL,
    sqlite3.SQLITE_READONLY: READ_ONLY,
    sqlite3.SQLITE_CANTOPEN: CANNOT_OPEN,
}
_POSTGRESQL = {"53100": FULL, "25006": READ_ONLY}


def say_disk_trouble(engine: Engine) -> None:
    """Let the engine raise NotDone, with its sentence, where a statement or a commit finds no room."""

    def instead(context: ExceptionContext) -> None:
        if (said := sentence_of(context.original_exception)) is not None:
            raise NotDone(said) from context.original_exception

    event.listen(engine, "handle_error", instead)


def sentence_of(error: Any) -> str | None:
    """None where the disk is not to blame."""
    code = getattr(error, "sqlite_errorcode", None)
    if code is not None:
        if code == _IOERR_SHMSIZE:
            return FULL
        # the low byte is the kind
        return _SQLITE.get(code & 0xFF)
    return _POSTGRESQL.get(getattr(error, "sqlstate", None) or "")
