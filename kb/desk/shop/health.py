"""Whether the shop can go on working: its data can be written, its tables are today's, there is room on the
disk, and there is a backup. For whoever watches the server, and for `beforeflash doctor`.
"""

from __future__ import annotations

import shutil
from datetime import datetime, timedelta
from pathlib import Path

from sqlalchemy import func, select, text

from kb.desk.context import CONSOLE, Desk, RunningShop
from kb.desk.shop import backups
from kb.errors import KbError
from kb.nouns.shop.health import Finding, Gravity
from kb.records.checkpoints import has_wal_reset_fault
from kb.records.engine import database_file
from kb.records.files import check_sheet as sheets
from kb.records.migrate import Standing, standing
from kb.records.store.shop import shop as shop_store
from kb.records.tables import ConcernRow, NoteRow
from kb.records.write_probe import try_folder, try_to_write

__all__ = ["has_wal_reset_fault", "try_folder"]

NO_ROOM, LITTLE_ROOM = 50_000_000, 1_000_000_000
"""Bytes free on the disk: below the first nothing works for long, below the second somebody should look."""
_AHEAD = timedelta(minutes=5)
_APART = timedelta(seconds=3)


def can_write(shop: RunningShop) -> Finding:
    try:
        try_to_write(shop.records.engine)
    except KbError as refused:
        return Finding(
            "saving",
            Gravity.BAD,
            refused.message,
            "Until that is put right nothing can be saved.",
            "The shop's data cannot be written.",
        )
    return Finding("saving", Gravity.FINE, "The shop's data can be written.")


def tables(shop: RunningShop) -> Finding:
    """A server that runs on while the tables are brought up to date by a newer one must be started anew."""
    found = standing(shop.records.engine)
    if found is Standing.TODAYS:
        return Finding("tables", Gravity.FINE, "The tables are those of this version.")
    older = found is Standing.OLDER
    return Finding(
        "tables",
        Gravity.BAD,
        f"The tables are those of {'an older' if older else 'a newer'} version of Beforeflash.",
        "Start `beforeflash serve` again: it brings them up to date." if older else "Start the newer one.",
        "The tables are those of another version.",
    )


def room_of(shop: RunningShop) -> Finding:
    """On the disk of the database; PostgreSQL's is nobody's business here."""
    file = database_file(shop.records.engine.url)
    if file is None:
        return Finding("disk", Gravity.FINE, "PostgreSQL looks after its own disk.")
    return room(file.parent)


def room(folder: Path) -> Finding:
    """On the disk of that folder."""
    free = shutil.disk_usage(folder).free
    said = f"{free / 1e9:,.1f} GB" if free >= LITTLE_ROOM else f"{free / 1e6:,.0f} MB"
    says = f"The disk of {folder} has {said} free."
    if free >= LITTLE_ROOM:
        return Finding("disk", Gravity.FINE, says)
    gravity = Gravity.BAD if free < NO_ROOM else Gravity.WATCH
    to_do = "Free some room; each night's backup needs as much as the database."
    return Finding("disk", gravity, says, to_do, "The disk is nearly full.")


def last_backup(shop: RunningShop) -> Finding:
    """How old the newest is. An old one is no reason to take a working shop off its tablets."""
    with shop.reading(CONSOLE) as desk:
        said = backups.warning(desk)
        view = backups.read_backups(desk)
    if view.kind is backups.Kind.NOT_AT_ALL:
        return Finding("backup", Gravity.FINE, "This shop is not backed up: it is invented.")
    if said:
        command = "export" if view.kind is backups.Kind.EXPORTS else "backup"
        to_do = f"Shop → Backups makes one now, or `beforeflash {command} FILE`."
        return Finding("backup", Gravity.WATCH, said, to_do, "The last backup is too old, or it failed.")
    last = view.last
    if last.made_at is None:
        return Finding("backup", Gravity.FINE, "No backup yet; the shop is younger than three days.")
    days = (shop.clock() - last.made_at).days
    age = f"{days} days old" if days > 1 else "less than two days old"
    where = f" on {view.elsewhere}" if view.elsewhere else ""
    return Finding("backup", Gravity.FINE, f"The newest backup is {age}: {last.made_as}{where}.")


def newest_backup_is_whole(shop: RunningShop) -> Finding | None:
    """The newest copy here held against its check sheet, read from the disk; None where there is none."""
    shelf = backups.shelf_of(shop.records.engine, shop.data_folder)
    stored = shelf.stored() if shelf else []
    if not stored:
        return None
    copy = stored[0].file
    try:
        sheets.refuse_mismatch(copy, sheets.read(sheets.sheet_of(copy)), copy)
    except (KbError, OSError) as wrong:
        return Finding("backup", Gravity.BAD, str(wrong), "Make another one now: Shop → Backups.")
    return Finding("backup", Gravity.FINE, f"{copy.name} is to the bit what its check sheet says.")


def database(shop: RunningShop) -> Finding:
    """Whether SQLite finds it whole, and keeps it as it should."""
    with shop.reading(CONSOLE) as desk:
        if not shop.records.is_sqlite:
            version = desk.session.execute(text("SHOW server_version")).scalar()
            return Finding("database", Gravity.FINE, f"PostgreSQL {version} answers.")
        mode = desk.session.execute(text("PRAGMA journal_mode")).scalar()
        said = desk.session.execute(text("PRAGMA quick_check(1)")).scalar()
    if said != "ok":
        to_do = "Stop the server and put the newest backup back: `beforeflash restore FILE`."
        return Finding("database", Gravity.BAD, f"The database is damaged: {said}.", to_do)
    if mode != "wal":
        to_do = "Start `beforeflash serve` once; it puts that right."
        return Finding(
            "database", Gravity.WATCH, f"The database keeps its journal as {mode}, not wal.", to_do
        )
    return Finding(
        "database", Gravity.FINE, "The database is whole, its tables are today's, its journal is wal."
    )


def index(shop: RunningShop) -> Finding:
    """What the search has to go through."""
    with shop.reading(CONSOLE) as desk:
        notes, concerns = (
            desk.session.execute(select(func.count()).select_from(one)).scalar_one()
            for one in (NoteRow, ConcernRow)
        )
    says = (
        f"The search goes through {notes:,} notes and {concerns:,} concerns; a server makes its index first."
    )
    return Finding("index", Gravity.FINE, says)


def clock(shop: RunningShop) -> Finding:
    """Lines of days to come were written while the clock was ahead, or it is behind now; hosts of one shop go
    by the database's.
    """
    with shop.reading(CONSOLE) as desk:
        newest = shop_store.newest_trail_moment(desk.session, desk.shop.id)
        now = desk.now
        apart = abs(now - _moment_of_database(desk))
    if apart > _APART:
        says = f"The clock and the database's are {apart.total_seconds():,.0f} s apart."
        to_do = (
            "Let the network set both: waits, sessions and jobs of all servers are counted by their clocks."
        )
        return Finding("clock", Gravity.WATCH, says, to_do)
    if newest is None or newest <= now + _AHEAD:
        says = f"The clock says {now:%Y-%m-%d %H:%M} UTC, after all that is on file."
        return Finding("clock", Gravity.FINE, says)
    return Finding(
        "clock",
        Gravity.WATCH,
        f"The clock says {now:%Y-%m-%d %H:%M} UTC, but the trail goes up to {newest:%Y-%m-%d %H:%M} UTC.",
        "Set the computer's date and time, and let it be set by the network.",
    )


def _moment_of_database(desk: Desk) -> datetime:
    """SQLite has no clock of its own."""
    if desk.session.get_bind().dialect.name == "sqlite":
        return desk.now
    moment: datetime = desk.session.execute(select(func.clock_timestamp())).scalar_one()
    return moment
