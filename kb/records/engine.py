"""Opening the database, and the one place where transactions begin and end.

SQLite's default mode in SQLAlchemy starts a transaction late and loses concurrent updates silently, so
here every transaction says BEGIN itself: BEGIN for readers, BEGIN IMMEDIATE for writers, and writers of
one process queue behind one lock (other processes wait on busy_timeout).
"""

from __future__ import annotations

import sqlite3
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit
from urllib.request import url2pathname

from sqlalchemy import URL, Connection, Engine, create_engine, event, func, make_url, select
from sqlmodel import Session, col

from kb.errors import BadInput, NotDone
from kb.records.checkpoints import CheckpointsByTurn, has_wal_reset_fault
from kb.records.disk_trouble import say_disk_trouble, sentence_of
from kb.records.files.whole_files import make_private_file, make_private_folder
from kb.records.pending import write_pending
from kb.records.tables import Revision

CONNECTIONS = 15
"""That one process opens at most: PostgreSQL's usual 100 serve six."""
_POOL = {"pool_size": CONNECTIONS, "max_overflow": 0}
_WRITES = "beforeflash_writes"
_BUSY_MILLISECONDS = 10_000
_FIRST_PEN = 7_105_227
"""PostgreSQL's advisory lock in place of the pen before there is one."""
_ASKS_AGAIN = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
_ASKS_AGAIN_SECONDS = 0.01


def _prepare_sqlite(connection: Any, _record: Any) -> None:
    connection.isolation_level = None
    cursor = connection.cursor()
    cursor.execute(f"PRAGMA busy_timeout={_BUSY_MILLISECONDS}")
    cursor.execute("PRAGMA synchronous=FULL")
    cursor.execute("PRAGMA foreign_keys=ON")
    if has_wal_reset_fault():
        cursor.execute("PRAGMA wal_autocheckpoint=0")
    cursor.close()


def _write_ahead(connection: Any, _record: Any) -> None:
    try:
        connection.execute("PRAGMA journal_mode=WAL").close()
    except sqlite3.Error as error:
        if (said := sentence_of(error)) is not None:
            raise NotDone(said) from error
        raise


def _begin_sqlite(connection: Connection) -> None:
    if not connection.get_execution_options().get(_WRITES, False):
        connection.exec_driver_sql("BEGIN")
    elif not _has_begun(connection.connection.driver_connection):
        connection.exec_driver_sql("BEGIN IMMEDIATE")


def _has_begun(sqlite: Any) -> bool:
    """Whether the pen was free within a while; at once False where the disk refuses it.

    SQLite itself asks again only every 0.1 s at last, so that a process that writes transaction after
    transaction would keep every other one out.
    """
    give_up = time.monotonic() + _BUSY_MILLISECONDS / 1000
    sqlite.execute("PRAGMA busy_timeout=0")
    try:
        while time.monotonic() < give_up:
            try:
                sqlite.execute("BEGIN IMMEDIATE")
            except sqlite3.OperationalError as refused:
                if refused.sqlite_errorcode & 0xFF not in _ASKS_AGAIN:  # the low byte is the kind
                    return False
                threading.Event().wait(_ASKS_AGAIN_SECONDS)  # a faked clock breaks sleep
            else:
                return True
        return False
    finally:
        sqlite.execute(f"PRAGMA busy_timeout={_BUSY_MILLISECONDS}")


def database_file(url: str | URL) -> Path | None:
    """The file of a SQLite database; None for PostgreSQL and for one in memory."""
    parsed = make_url(url)
    named = parsed.get_backend_name() == "sqlite" and parsed.database not in (None, "", ":memory:")
    if not named:
        return None
    said = parsed.database or ""
    where = (
        url2pathname(urlsplit(said).path) if said.startswith("file:") else said
    )  # as it is opened to be read
    return Path(where).absolute()


def open_engine(url: str) -> Engine:
    """An engine for `url` (SQLite or PostgreSQL); a missing SQLite file is made, for its owner alone.

    Raises BadInput where PostgreSQL is asked for and its driver is not installed.
    """
    if make_url(url).get_backend_name() == "postgresql":
        return _postgresql(url)
    file = database_file(url)
    if file is not None and not file.is_dir():
        make_private_folder(file.parent)
        make_private_file(file)
    engine = _sqlite(url)
    event.listen(engine, "connect", _write_ahead)
    return engine


def open_engine_as_it_is(url: str) -> Engine:
    """As `open_engine`, for those who only read: makes no file and changes nothing of one."""
    if make_url(url).get_backend_name() == "postgresql":
        return _postgresql(url)
    file = database_file(url)
    return _sqlite(f"sqlite:///{file.as_uri()}?mode=rw&uri=true" if file else url)


def _postgresql(url: str) -> Engine:
    _need_postgresql_driver()
    named = make_url(url).set(drivername="postgresql+psycopg")
    engine = create_engine(named, pool_pre_ping=True, hide_parameters=True, **_POOL)
    say_disk_trouble(engine)
    return engine


def _sqlite(url: str) -> Engine:
    engine = create_engine(url, connect_args={"check_same_thread": False}, hide_parameters=True, **_POOL)
    say_disk_trouble(engine)
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _need_postgresql_driver() -> None:
    if find_spec("psycopg") is None:
        raise BadInput(
            "PostgreSQL's driver is not installed. "
            "Install it, in the folder of the program: pip install --no-deps -r .locked/postgres.txt; "
            "then start again."
        )


class Records:
    """The database of one process: who reads gets a snapshot, who writes gets the only pen."""

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self._writing_engine = engine.execution_options(**{_WRITES: True})
        # PostgreSQL's usual level shows every statement the newest commit; a page would mix two moments.
        snapshot = {} if self.is_sqlite else {"isolation_level": "REPEATABLE READ"}
        self._reading_engine = engine.execution_options(**snapshot)
        self._pen = threading.Lock()
        self._pen_held_by = 0
        file = database_file(engine.url)
        self._checkpoints = CheckpointsByTurn(file) if file and has_wal_reset_fault() else None

    @property
    def is_sqlite(self) -> bool:
        return self.engine.dialect.name == "sqlite"

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """One transaction that is never committed."""
        with Session(self._reading_engine, expire_on_commit=False) as session:
            yield session

    @contextmanager
    def writing(self, undoing: Callable[[Session], object] = lambda _session: None) -> Iterator[Session]:
        """One transaction: committed when the block ends well, rolled back when it or the commit raises.

        `undoing` is called just before the rollback, while nobody else may write yet.
        """
        with self._pen_in_hand(), Session(self._writing_engine, expire_on_commit=False) as session:
            try:
                self._take_the_pen(session)
                yield session
                write_pending(session)
                session.commit()
            except BaseException:
                undoing(session)
                session.rollback()
                raise
            if self._checkpoints is not None:
                self._checkpoints.after_commit()

    @contextmanager
    def _pen_in_hand(self) -> Iterator[None]:
        """Waits before it takes a connection, which those who read need meanwhile.

        Raises RuntimeError where this thread has it already: it would wait for itself, and all for it.
        """
        if self._pen_held_by == threading.get_ident():
            raise RuntimeError("a transaction that writes was begun inside another")
        with self._pen:
            self._pen_held_by = threading.get_ident()
            try:
                yield
            finally:
                self._pen_held_by = 0

    def _take_the_pen(self, session: Session) -> None:
        if self.is_sqlite:
            return
        pen = select(col(Revision.number)).where(col(Revision.topic) == "pen").with_for_update()
        if session.execute(pen).first() is None:  # a new database: two hosts may come to it at once
            session.execute(select(func.pg_advisory_xact_lock(_FIRST_PEN)))

    @staticmethod
    def keep_rows(session: Session) -> None:
        """Hold every row of a long transaction in memory, so that none is asked for twice."""
        held: list[object] = []
        for moment in ("pending_to_persistent", "loaded_as_persistent"):
            event.listen(session, moment, lambda _session, row: held.append(row))

    def close(self) -> None:
        self.engine.dispose()
