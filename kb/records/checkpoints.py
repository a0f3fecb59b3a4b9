"""Taking the write-ahead file into the database where SQLite's own way of doing so has a fault.

SQLite 3.7.0 to 3.51.2 may lose or damage pages when one connection begins a checkpoint just after another
ended one, while a third commits what starts the write-ahead file anew ("the WAL-reset bug":
https://www.sqlite.org/wal.html section 11, https://www.sqlite.org/howtocorrupt.html section 8.1; put right in
3.51.3, and in 3.50.7 and 3.44.6 of the older lines). A system may have put its SQLite right under a lower
number; there this costs little. Here a checkpoint is made only while nobody can commit: with the lock of
writers in hand. Closing the last connection makes one too, when nobody else has the file open.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing, suppress
from pathlib import Path

_FROM, _RIGHT_SINCE = (3, 7, 0), (3, 51, 3)
_RIGHT_IN_LINE = {(3, 50): (3, 50, 7), (3, 44): (3, 44, 6)}
COMMITS_BETWEEN = 64
BYTES_BETWEEN = 4_000_000
"""As much as SQLite's own 1,000 pages."""


def has_wal_reset_fault(version: tuple[int, ...] = sqlite3.sqlite_version_info) -> bool:
    right = _RIGHT_IN_LINE.get((version[0], version[1]), _RIGHT_SINCE)
    return _FROM <= version < right


class CheckpointsByTurn:
    """The checkpoints of one process; every process does so, and none makes SQLite's own."""

    def __init__(self, database: Path) -> None:
        self._database = database
        self._commits = 0
        self._size = 0

    def after_commit(self) -> None:
        """Make one where it is due; the caller has this process's pen. Never raises: the commit stands."""
        self._commits += 1
        if self._commits < COMMITS_BETWEEN and self._wal_size() - self._size < BYTES_BETWEEN:
            return
        with suppress(sqlite3.Error):
            self.take_in()
        self._commits, self._size = 0, self._wal_size()

    def take_in(self) -> None:
        """All that readers allow; nothing where another process writes just now."""
        with closing(self._connection()) as pen, closing(self._connection()) as other:
            try:
                pen.execute("BEGIN IMMEDIATE")
            except sqlite3.OperationalError:
                return
            other.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchone()
            pen.execute("ROLLBACK")

    def _connection(self) -> sqlite3.Connection:
        where = f"{self._database.absolute().as_uri()}?mode=rw"
        opened = sqlite3.connect(where, uri=True, timeout=0, isolation_level=None)
        opened.execute("PRAGMA synchronous=FULL")
        opened.execute("PRAGMA wal_autocheckpoint=0")
        return opened

    def _wal_size(self) -> int:
        try:
            return self._database.with_name(f"{self._database.name}-wal").stat().st_size
        except OSError:
            return 0
