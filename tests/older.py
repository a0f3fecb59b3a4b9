"""Databases of a shop as older and newer versions leave them."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from alembic import command
from alembic.script import ScriptDirectory

from kb.records.engine import open_engine
from kb.records.migrate import alembic_config


def revisions() -> list[str]:
    """Every revision of the tables, the first first."""
    script = ScriptDirectory.from_config(alembic_config())
    return [one.revision for one in script.walk_revisions()][::-1]


def a_shop_of(revision: str, file: Path, name: str = "An older shop") -> Path:
    """A database with the tables of `revision` and a shop in it, as one closed file."""
    engine = open_engine(f"sqlite:///{file}")
    with engine.execution_options(beforeflash_writes=True).begin() as connection:
        command.upgrade(alembic_config(connection), revision)
    engine.dispose()
    with closing(sqlite3.connect(file)) as database:
        database.execute(
            "INSERT INTO shop (name, timezone, currency, is_demo, created_at)"
            " VALUES (?, 'America/New_York', 'USD', 0, '2026-01-02 12:00:00')",
            (name,),
        )
        topics = ("notes", "notes_removed", "concerns", "lexicon", "outcomes", "settings", "pen")
        database.executemany(
            "INSERT INTO revision (shop_id, topic, number) VALUES (1, ?, 0)", [(t,) for t in topics]
        )
        database.commit()
        database.execute("PRAGMA journal_mode=DELETE")
    return file


def of_a_program_to_come(file: Path) -> None:
    """Make the database look as if a newer version had upgraded it."""
    with closing(sqlite3.connect(file)) as database:
        database.execute("UPDATE alembic_version SET version_num = '9001'")
        database.commit()
        database.execute("PRAGMA journal_mode=DELETE")
