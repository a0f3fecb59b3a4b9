"""Opening the shop's database: who may make one, who brings its tables up to date, who only looks.

Only the commands that make a shop, and those that write, open it with `for_work`; the others use `as_it_is`.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from datetime import UTC, datetime
from hashlib import blake2b
from pathlib import Path

from sqlalchemy import URL, Engine
from sqlalchemy.exc import DatabaseError, OperationalError
from sqlmodel import Session

from kb.errors import Conflict, NotFound, Unreadable
from kb.records.engine import database_file, open_engine, open_engine_as_it_is
from kb.records.files.backup_folder import Reason, Shelf
from kb.records.files.checked_copy import plainly
from kb.records.files.one_holder import held, held_by_us
from kb.records.files.whole_files import make_private_folder
from kb.records.migrate import Standing, migrate, refuse_newer, standing
from kb.records.postgres_address import asked_over as asked_over  # for the interfaces
from kb.records.store.shop.opening import any_shop

NO_SHOP = (
    "There is no shop in {place} yet. Start one with `beforeflash serve`, or put a backup back with "
    "`beforeflash restore FILE`."
)
_OLDER = (
    "The tables of this shop are those of an older version of Beforeflash. Start `beforeflash serve` once: "
    "it makes a backup and brings them up to date."
)


def for_work(url: str, now: datetime) -> Engine:
    """The database with today's tables, made if missing. One of an older version is backed up first (SQLite).

    Raises Unreadable for tables of a newer program and for no database, Conflict while a server of the older
    program has it open, NotDone where the backup or the upgrade cannot be written: it is then as it was.
    """
    engine = open_engine(url)
    try:
        _bring_up_to_date(engine, database_file(url), now)
    except BaseException:
        engine.dispose()
        raise
    return engine


def as_it_is(url: str) -> Engine:
    """The database for reading alone: nothing is made and nothing is upgraded.

    Raises NotFound without a shop, Unreadable for tables of a newer program, Conflict for those of an older.
    """
    refuse_without_shop(url)
    engine = open_engine_as_it_is(url)
    found = _standing(engine)
    if found is not Standing.TODAYS:
        engine.dispose()
        refuse_newer(found)
        raise Conflict(_OLDER)
    return engine


def refuse_without_shop(url: str) -> None:
    """Raises NotFound, in a sentence that says how a shop is made. Writes nothing."""
    file = database_file(url)
    if file is not None and not file.is_file():
        raise NotFound(NO_SHOP.format(place=file.parent))
    if not has_shop(url):
        raise NotFound(NO_SHOP.format(place=file.parent if file else "this database"))


def has_shop(url: str) -> bool:
    """Whether there is a shop; makes nothing. Raises Unreadable for a file that is no database."""
    file = database_file(url)
    if file is not None and not file.is_file():
        return False
    engine = open_engine_as_it_is(url)
    try:
        if _standing(engine) is Standing.NONE:
            return False
        with Session(engine) as session:
            return any_shop(session)
    finally:
        engine.dispose()


def name_in_files(url: URL) -> str:
    """A short name of a database, for files beside those of others; tells nothing of its password."""
    file = database_file(url)
    told = f"sqlite:///{file}" if file else url.set(password=None).render_as_string()
    return f"search-{blake2b(told.encode(), digest_size=6).hexdigest()}"


def server_lock(database: Path) -> Path:
    """Held by the one server of that database, and by whoever puts back or upgrades it."""
    return database.with_name(f"{database.name}.lock")


@contextmanager
def only_server(url: str, command: str, now: datetime) -> Iterator[None]:
    """Be the one server of this database for the block; Conflict names the other one. PostgreSQL has many."""
    file = database_file(url)
    if file is None:
        yield
        return
    make_private_folder(file.parent)
    with held(server_lock(file), command, now, "Stop it first, or use it where it is."):
        yield


def _bring_up_to_date(engine: Engine, file: Path | None, now: datetime) -> None:
    found = _standing(engine)
    if found is not Standing.OLDER or file is None:
        migrate(engine)
        return
    lock, stop = server_lock(file), "Stop it first: this version must bring its tables up to date."
    with nullcontext() if held_by_us(lock) else held(lock, "upgrade", now, stop):
        Shelf.beside(file).store(Reason.BEFORE_UPGRADE, now, UTC)
        with plainly("The shop was not brought up to date"):
            migrate(engine)


def _standing(engine: Engine) -> Standing:
    try:
        return standing(engine)
    except OperationalError:
        raise
    except DatabaseError as error:
        raise Unreadable(
            f"{engine.url.database} is no sound database of a shop ({error.orig}). "
            "Put the newest backup back with `beforeflash restore FILE`."
        ) from None
