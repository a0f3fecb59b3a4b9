"""What the file of a shop's database holds, read without leaving anything beside it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from kb.errors import Unreadable


@dataclass(frozen=True, slots=True)
class Contents:
    """The facts by which one copy of a shop is told from another. `tables`: rows of each table."""

    shop: str
    is_demo: bool
    schema: str
    tables: Mapping[str, int]


def contents_of(connection: sqlite3.Connection) -> Contents:
    """Raises sqlite3.DatabaseError where the tables of a shop are missing, Unreadable without one shop."""
    schema = connection.execute("SELECT version_num FROM alembic_version").fetchall()
    shops = connection.execute("SELECT name, is_demo FROM shop").fetchall()
    if len(shops) != 1 or len(schema) != 1:
        raise Unreadable(f"It holds {len(shops)} shops where one should be.")
    [(name, is_demo)], [(revision,)] = shops, schema
    return Contents(name, bool(is_demo), revision, _rows(connection))


def sound_contents(file: Path) -> Contents:
    """What a closed database holds, after SQLite found it whole and its references kept; else Unreadable."""
    try:
        with closing(_reading(file)) as connection:
            said = connection.execute("PRAGMA integrity_check").fetchone()[0]
            if said != "ok":
                raise Unreadable(f"{file} is damaged ({said.splitlines()[0]}). Use another copy.")
            if (broken := connection.execute("PRAGMA foreign_key_check").fetchone()) is not None:
                raise Unreadable(
                    f"{file} is damaged (a row of {broken[0]} refers to nothing). Use another copy."
                )
            return contents_of(connection)
    except sqlite3.DatabaseError as error:
        raise Unreadable(f"{file} is not the database of a shop: {error}.") from None


@contextmanager
def one_moment(file: Path) -> Iterator[sqlite3.Connection]:
    """A connection that sees the database of one moment, while others go on writing."""
    # Not read-only: SQLite would leave its write-ahead files behind, being unable to put them away.
    with closing(sqlite3.connect(f"{file.absolute().as_uri()}?mode=rw", uri=True, timeout=10)) as connection:
        connection.isolation_level = None
        connection.execute("BEGIN")
        yield connection


def as_one_file(file: Path) -> None:
    """Take what is still in the write-ahead file into `file`; nothing stays beside it.

    Raises sqlite3.OperationalError while anybody else has the database open.
    """
    with closing(sqlite3.connect(file, timeout=0)) as connection:
        connection.execute("PRAGMA synchronous=FULL")
        connection.execute("PRAGMA journal_mode=DELETE")


def _reading(file: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"{file.absolute().as_uri()}?mode=ro&immutable=1", uri=True)


def _rows(connection: sqlite3.Connection) -> dict[str, int]:
    names = connection.execute(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT GLOB 'sqlite_*' ORDER BY name"
    )
    return {name: _count(connection, name) for (name,) in names.fetchall()}


def _count(connection: sqlite3.Connection, table: str) -> int:
    quoted = '"' + table.replace('"', '""') + '"'
    counted: int = connection.execute(f"SELECT count(*) FROM {quoted}").fetchone()[0]  # noqa: S608  # quoted
    return counted
