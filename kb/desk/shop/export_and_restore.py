"""Taking the whole shop out, copying its database while it works, and putting a copy back."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path
from typing import Any, TextIO

from kb.desk.context import Desk, owner_only
from kb.desk.opening_database import refuse_without_shop, server_lock
from kb.errors import BadInput, Unreadable
from kb.records.engine import database_file, open_engine, open_engine_as_it_is
from kb.records.files import checked_copy, restoring
from kb.records.files.check_sheet import CheckSheet
from kb.records.files.checked_copy import plainly
from kb.records.files.one_holder import held
from kb.records.files.restoring import PutBack
from kb.records.files.whole_files import clear_leftovers, make_private_folder, written_aside
from kb.records.migrate import Standing, migrate, refuse_newer, standing
from kb.records.store.shop import whole_shop

EXPORT_FORMAT = 1


@owner_only
def export_rows(desk: Desk) -> Iterator[dict[str, Any]]:
    """Everything of the shop, ready for JSON lines: a first line about the export, then one line a row.

    A row's line is {"table": name, "row": {column: value}}; days and instants are ISO text, money is in the
    currency's smallest unit. Secrets (password hashes, sessions, tokens) and files that wait stay behind.
    """
    yield {
        "beforeflash_export": EXPORT_FORMAT,
        "shop": desk.shop.name,
        "currency": desk.shop.currency,
        "timezone": desk.shop.timezone,
        "made_at": desk.now.isoformat(),
    }
    for table, row in whole_shop.every_row(desk.session):
        yield {"table": table, "row": {name: _plain(value) for name, value in row.items()}}


@owner_only
def export_to(desk: Desk, out: TextIO) -> int:
    """Write the export as JSON lines and give their number."""
    count = 0
    for count, row in enumerate(export_rows(desk), start=1):  # noqa: B007  # counts the rows
        out.write(json.dumps(row, ensure_ascii=False) + "\n")
    return count


@owner_only
def export_to_file(desk: Desk, target: Path) -> int:
    """The export as a private file that is whole or not there. Raises NotDone where the disk is full."""
    with plainly(f"Nothing was written to {target}"):
        clear_leftovers(target.parent)
        with written_aside(target) as aside, aside.open("w", encoding="utf-8") as out:
            return export_to(desk, out)


def back_up(url: str, target: Path, now: datetime) -> CheckSheet:
    """A checked copy of the shop at `target` while it goes on working, its check sheet beside it.

    SQLite only; also of an older version's shop, which stays as it is. Raises BadInput on PostgreSQL,
    NotFound without a shop, and what `copy_out` raises.
    """
    database = database_file(url)
    if database is None:
        raise BadInput("This shop is on PostgreSQL: back it up with pg_dump, put it back with pg_restore.")
    refuse_without_shop(url)
    engine = open_engine_as_it_is(url)
    try:
        refuse_newer(standing(engine))
    finally:
        engine.dispose()
    return checked_copy.copy_out(database, target, now)


def put_back(copy: Path, url: str, now: datetime) -> PutBack:
    """Make `copy` the shop's database, brought up to date; what was there is kept beside it.

    Raises BadInput on PostgreSQL, Conflict while a server has the shop open, and what
    `restoring.put_back` raises; the old shop then stays as it was.
    """
    database = database_file(url)
    if database is None:
        raise BadInput("This shop is on PostgreSQL: put it back with pg_restore.")
    restoring.refuse_unfit_file(copy, database)
    make_private_folder(database.parent)
    with held(server_lock(database), "restore", now, "Stop it first, then put the copy back."):
        return restoring.put_back(copy, database, now, _upgrade)


def _upgrade(arriving: Path) -> None:
    engine = open_engine(f"sqlite:///{arriving.as_posix()}")
    try:
        if standing(engine) is Standing.NEWER:
            raise Unreadable(
                "The copy was made by a newer version of Beforeflash. Install it, or use an older copy."
            )
        migrate(engine)
    finally:
        engine.dispose()


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date | datetime) else value
