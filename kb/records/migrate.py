"""Bringing a database to the newest shape. A migration that fails rolls back whole."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from enum import Enum
from functools import cache

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine, text

from kb.errors import Unreadable

_ADVISORY_LOCK = 7_105_226


def alembic_config(connection: Connection | None = None) -> Config:
    """Alembic's settings; `connection` is the open transaction that the migrations run in."""
    config = Config()
    config.set_main_option("script_location", "kb.records:migrations")
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config


class Standing(Enum):
    """How a database's tables stand to those that this program knows."""

    NONE = "none"
    OLDER = "older"
    TODAYS = "today's"
    NEWER = "newer"


def standing(engine: Engine) -> Standing:
    """Only reads, so that it answers while somebody else writes."""
    with engine.connect() as connection:
        found = set(MigrationContext.configure(connection).get_current_heads())
    if not found:
        return Standing.NONE
    if found == set(_script().get_heads()):
        return Standing.TODAYS
    return Standing.OLDER if found <= set(known_schemas()) else Standing.NEWER


def known_schemas() -> tuple[str, ...]:
    """Every state of the tables that this program knows, the oldest first."""
    return tuple(one.revision for one in _script().walk_revisions())[::-1]


def refuse_newer(found: Standing) -> None:
    """Raises Unreadable: tables of a program to come can be neither read nor upgraded by this one."""
    if found is Standing.NEWER:
        raise Unreadable(
            "This shop was last used with a newer version of Beforeflash than this one. "
            "Start that version again, or put back a backup made before it."
        )


def migrate(engine: Engine) -> None:
    """Create or upgrade every table in one transaction; other processes wait their turn.

    A database that is up to date is only read. Raises Unreadable where its tables are newer than the program.
    """
    found = standing(engine)
    refuse_newer(found)
    if found is Standing.TODAYS:
        return
    with changing_tables(engine) as connection:
        upgrade(connection)


@contextmanager
def changing_tables(engine: Engine) -> Iterator[Connection]:
    """One transaction in which nobody else changes tables."""
    with engine.execution_options(beforeflash_writes=True).begin() as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _ADVISORY_LOCK})
        yield connection


def upgrade(connection: Connection, schema: str = "head") -> None:
    """Bring the tables of the open transaction up to `schema`."""
    command.upgrade(alembic_config(connection), schema)


@cache
def _script() -> ScriptDirectory:
    return ScriptDirectory.from_config(alembic_config())
