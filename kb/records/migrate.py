"""Bringing a database to the newest shape. A migration that fails rolls back whole."""

from __future__ import annotations

from functools import cache

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine, text

_ADVISORY_LOCK = 7_105_226


def alembic_config(connection: Connection | None = None) -> Config:
    """Alembic's settings; `connection` is the open transaction that the migrations run in."""
    config = Config()
    config.set_main_option("script_location", "kb.records:migrations")
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config


def migrate(engine: Engine) -> None:
    """Create or upgrade every table in one transaction; other processes wait their turn.

    A database that is up to date is only read, so that it opens while somebody writes.
    """
    if _is_newest(engine):
        return
    with engine.execution_options(beforeflash_writes=True).begin() as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _ADVISORY_LOCK})
        command.upgrade(alembic_config(connection), "head")


def _is_newest(engine: Engine) -> bool:
    with engine.connect() as connection:
        return set(MigrationContext.configure(connection).get_current_heads()) == _newest()


@cache
def _newest() -> set[str]:
    return set(ScriptDirectory.from_config(alembic_config()).get_heads())
