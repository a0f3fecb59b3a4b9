"""Whether the shop's data can be written just now, tried so that nothing of it stays."""

from __future__ import annotations

import os
import secrets
import sqlite3
from contextlib import closing, suppress
from pathlib import Path

from sqlalchemy import Engine, text
from sqlalchemy.exc import DBAPIError

from kb.errors import NotDone
from kb.nouns.shop.disk_trouble import of_os_error
from kb.records.disk_trouble import sentence_of
from kb.records.engine import database_file

_PROBE = ".beforeflash-probe-"
_BYTES = 64 * 1024
_TOUCH = "UPDATE revision SET number = number WHERE topic = 'pen'"
_BUSY = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
_WAITED_TOO_LONG = "55P03"  # PostgreSQL's lock_not_available


def try_to_write(engine: Engine) -> None:
    """Raises NotDone, in a sentence, where a save would fail. Somebody who writes just now is no trouble."""
    file = database_file(engine.url)
    if file is None:
        _try_postgresql(engine)
        return
    try_folder(file.parent)
    try:
        _try_sqlite(file)
    except sqlite3.Error as error:
        if getattr(error, "sqlite_errorcode", 0) & 0xFF not in _BUSY:
            raise NotDone(sentence_of(error) or f"The database cannot be written: {error}.") from error


def try_folder(folder: Path) -> None:
    """Write and take away a file there; NotDone, in a sentence, where that fails."""
    probe = folder / f"{_PROBE}{secrets.token_hex(4)}"
    try:
        with probe.open("xb") as opened:
            opened.write(bytes(_BYTES))
            opened.flush()
            os.fsync(opened.fileno())
    except OSError as error:
        raise of_os_error(error) or NotDone(f"{folder} cannot be written: {error.strerror}.") from error
    finally:
        with suppress(OSError):  # where nothing can be written nothing can be taken away either
            probe.unlink()


def _try_sqlite(file: Path) -> None:
    where = f"{file.absolute().as_uri()}?mode=rw"
    with closing(sqlite3.connect(where, uri=True, timeout=1, isolation_level=None)) as connection:
        connection.execute("BEGIN IMMEDIATE")
        connection.execute(_TOUCH)
        connection.execute("ROLLBACK")


def _try_postgresql(engine: Engine) -> None:
    try:
        with engine.connect() as connection:
            connection.execute(text("SET LOCAL lock_timeout = '1s'"))
            connection.execute(text(_TOUCH))
            connection.rollback()
    except DBAPIError as error:
        if getattr(error.orig, "sqlstate", "") != _WAITED_TOO_LONG:
            raise NotDone("The database cannot be reached or written.") from error
