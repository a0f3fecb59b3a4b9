"""Taking the whole shop out, copying its database while it works, and putting a copy back."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import date, datetime
from pathlib import Path
from typing import Any

from kb.desk.context import Desk, RunningShop, owner_only
from kb.errors import BadInput, Conflict, Unreadable
from kb.records.store import whole

EXPORT_FORMAT = 1


@owner_only
def export_rows(desk: Desk) -> Iterator[dict[str, Any]]:
    """Everything of the shop, ready for JSON lines: a first line about the export, then one line a row.

    A row's line is {"table": name, "row": {column: value}}; days and instants are ISO text, money is in the
    currency's smallest unit. Secrets (password hashes, sessions, tokens) stay behind.
    """
    yield {
        "beforeflash_export": EXPORT_FORMAT,
        "shop": desk.shop.name,
        "currency": desk.shop.currency,
        "timezone": desk.shop.timezone,
        "made_at": desk.now.isoformat(),
    }
    for table, row in whole.every_row(desk.session):
        yield {"table": table, "row": {name: _plain(value) for name, value in row.items()}}


def back_up(shop: RunningShop, target: Path) -> None:
    """A consistent copy at `target`, checked, while the shop goes on working. SQLite only.

    Raises BadInput on PostgreSQL, Conflict if there is a file at `target`, Unreadable if the copy is bad.
    """
    if not shop.records.is_sqlite:
        raise BadInput("This shop is on PostgreSQL: back it up with pg_dump, put it back with pg_restore.")
    if target.exists():
        raise Conflict(f"There is a file {target} already; name another one.")
    target.parent.mkdir(parents=True, exist_ok=True)
    unfinished = target.with_name(f"{target.name}.unfinished")
    shop.records.backup_to(unfinished)
    refuse_bad_copy(unfinished)
    unfinished.replace(target)


def put_back(copy: Path, shop_file: Path, now: datetime) -> Path | None:
    """Make `copy` the shop's database. What was there is kept beside it; its new path is returned.

    Raises Unreadable if `copy` is no sound database of a shop, Conflict while a server has the old one open.
    """
    refuse_bad_copy(copy)
    kept = None
    if shop_file.exists():
        _refuse_if_open(shop_file)
        kept = shop_file.with_name(f"{shop_file.name}.before-{now:%Y%m%d-%H%M%S}")
        shop_file.replace(kept)
    for ending in ("-wal", "-shm"):
        shop_file.with_name(shop_file.name + ending).unlink(missing_ok=True)
    shop_file.parent.mkdir(parents=True, exist_ok=True)
    arriving = shop_file.with_name(f"{shop_file.name}.arriving")
    shutil.copyfile(copy, arriving)
    with arriving.open("rb") as file:
        os.fsync(file.fileno())
    arriving.replace(shop_file)
    return kept


def refuse_bad_copy(file: Path) -> None:
    """Raises Unreadable unless SQLite finds the file whole, its references kept, and a shop in it."""
    if not file.is_file():
        raise Unreadable(f"There is no file {file}.")
    try:
        with closing(sqlite3.connect(f"file:{file.absolute()}?mode=ro", uri=True)) as connection:
            said = connection.execute("PRAGMA integrity_check").fetchone()[0]
            broken = connection.execute("PRAGMA foreign_key_check").fetchone()
            connection.execute("SELECT version_num FROM alembic_version").fetchone()
            shops = connection.execute("SELECT count(*) FROM shop").fetchone()[0]
    except sqlite3.DatabaseError as error:
        raise Unreadable(f"{file} is not the database of a shop: {error}.") from None
    if said != "ok" or broken is not None or shops != 1:
        raise Unreadable(f"{file} is damaged ({said}); use another copy.")


def _refuse_if_open(file: Path) -> None:
    """Leaving write-ahead mode needs the file for oneself, so it fails while a server holds it."""
    try:
        with closing(sqlite3.connect(file, timeout=0)) as connection:
            connection.execute("PRAGMA journal_mode=DELETE")
    except sqlite3.OperationalError:
        raise Conflict("A server has this shop open. Stop it first, then put the copy back.") from None


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date | datetime) else value
