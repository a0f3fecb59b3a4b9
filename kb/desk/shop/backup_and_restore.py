"""Copying the shop's database while it works, and putting a copy back."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from kb.desk.opening_database import refuse_without_shop, server_lock
from kb.errors import BadInput, Unreadable
from kb.records.engine import database_file, open_engine, open_engine_as_it_is
from kb.records.files import checked_copy, restoring
from kb.records.files.check_sheet import CheckSheet
from kb.records.files.one_holder import held
from kb.records.files.restoring import PutBack
from kb.records.files.whole_files import make_private_folder
from kb.records.migrate import Standing, migrate, refuse_newer, standing


def back_up(url: str, target: Path, now: datetime) -> CheckSheet:
    """A checked copy of the shop at `target` while it goes on working, its check sheet beside it.

    SQLite only; also of an older version's shop, which stays as it is. Raises BadInput on PostgreSQL,
    NotFound without a shop, and what `copy_out` raises.
    """
    database = database_file(url)
    if database is None:
        raise BadInput(
            "This shop is on PostgreSQL: `beforeflash export FILE` writes all of it but passwords and "
            "tokens; PostgreSQL's own pg_dump copies those too."
        )
    refuse_without_shop(url)
    engine = open_engine_as_it_is(url)
    try:
        refuse_newer(standing(engine))
    finally:
        engine.dispose()
    return checked_copy.copy_out(database, target, now)


def put_back(
    copy: Path, url: str, now: datetime, step: Callable[[str], None] = lambda _words: None
) -> PutBack:
    """Make `copy` the shop's database, brought up to date; what was there is kept beside it.

    Raises BadInput on PostgreSQL, Conflict while a server has the shop open, and what
    `restoring.put_back` raises; the old shop then stays as it was.
    """
    database = database_file(url)
    if database is None:
        raise BadInput(
            "This shop is on PostgreSQL: bring an export into an empty database with "
            "`beforeflash import shop FILE`, or put back what pg_dump wrote with pg_restore."
        )
    restoring.refuse_unfit_file(copy, database)
    make_private_folder(database.parent)
    with held(server_lock(database), "restore", now, "Stop it first, then put the copy back."):
        return restoring.put_back(copy, database, now, _upgrade, step)


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
