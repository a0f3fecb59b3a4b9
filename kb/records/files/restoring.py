"""Making a copy the shop's database: everything is done to a copy of the copy, and then one rename."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from kb.errors import BadInput, Conflict, Unreadable
from kb.records.files import check_sheet as sheets
from kb.records.files.checked_copy import plainly
from kb.records.files.database_contents import Contents, as_one_file, sound_contents
from kb.records.files.whole_files import (
    clear_leftovers,
    make_private_folder,
    remove,
    sync,
    sync_folder,
    written_aside,
)

_WAL = "-wal"


@dataclass(frozen=True, slots=True)
class PutBack:
    """What was put back. `sheet` is None for a copy without one; `kept` is where the old shop is now."""

    holds: Contents
    sheet: sheets.CheckSheet | None
    kept: Path | None


def put_back(
    copy: Path,
    database: Path,
    now: datetime,
    upgrade: Callable[[Path], None],
    step: Callable[[str], None] = lambda _words: None,
) -> PutBack:
    """Make `copy` the database at `database`; what was there is kept beside it.

    `upgrade` brings the tables of a file to this program's, and refuses those of a newer one. `step` is told
    what is being done. Raises
    Unreadable or BadInput for a copy that is not taken, NotDone where the disk stands in the way, Conflict
    while somebody has the old shop open. After any of them, and after a kill at any point, the old shop is
    there as it was.
    """
    refuse_unfit_file(copy, database)
    with plainly(f"{copy} was not put back"):
        make_private_folder(database.parent)
        _clear_what_was_broken_off(database)
        sheet = sheets.read(sheets.sheet_of(copy)) if sheets.sheet_of(copy).exists() else None
        kept = (
            database.with_name(f"{database.name}.before-{now:%Y%m%d-%H%M%S}") if database.exists() else None
        )
        with written_aside(database) as arriving:
            step("copying and checking the copy")
            holds = _arrive(copy, arriving, sheet)
            step("bringing its tables up to date")
            upgrade(arriving)
            step("checking what will be the shop")
            as_one_file(arriving)
            sound_contents(arriving)
            sync(arriving)
            if kept is not None:
                _keep(database, kept)
    return PutBack(holds, sheet, kept)


def refuse_unfit_file(copy: Path, database: Path) -> None:
    """Raises Unreadable or BadInput for what need not be copied to be refused. Writes nothing."""
    if not copy.is_file():
        raise Unreadable(f"There is no file {copy}.")
    if database.exists() and copy.samefile(database):
        raise BadInput(f"{copy} is the shop itself. Name a backup of it.")
    beside = copy.with_name(copy.name + _WAL)
    if beside.exists() and beside.stat().st_size:
        raise Unreadable(
            f"{beside} holds changes that are not in {copy.name}: it is in use, or was not closed. "
            "Name a copy made by `beforeflash backup`."
        )


def _clear_what_was_broken_off(database: Path) -> None:
    """A second name that no rename followed must go: SQLite forbids a database to be opened by two names."""
    clear_leftovers(database.parent)
    remove(database.with_name(f"{database.name}.arriving"))  # so the version before called it
    for kept in database.parent.glob(f"{database.name}.before-*"):
        if database.exists() and kept.samefile(database):
            kept.unlink()


def _arrive(copy: Path, arriving: Path, sheet: sheets.CheckSheet | None) -> Contents:
    shutil.copyfile(copy, arriving)
    sync(arriving)
    if sheet is not None:
        sheets.refuse_mismatch(arriving, sheet, copy)
    try:
        holds = sound_contents(arriving)
    except Unreadable as refused:
        raise Unreadable(refused.message.replace(str(arriving), str(copy))) from None
    if sheet is not None and holds != sheet.holds:
        raise Unreadable(f"{copy} does not hold what {sheets.sheet_of(copy).name} says. Use another copy.")
    if holds.is_demo:
        raise BadInput(
            f"{copy} is of the invented demo shop and cannot become yours. Name a backup of your shop."
        )
    return holds


def _keep(database: Path, kept: Path) -> None:
    """Give the old shop a second name, so that the rename that follows leaves no moment without a shop."""
    try:
        as_one_file(database)
    except sqlite3.DatabaseError as error:
        code = error.sqlite_errorcode & 0xFF  # the low byte is the kind, the rest its shade
        if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
            raise Conflict("Somebody has this shop open. Stop it first, then put the copy back.") from None
        if code not in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
            raise
        # A damaged shop is kept as it is, write-ahead file and all.
    wal = database.with_name(database.name + _WAL)
    _second_name(database, kept)
    if wal.exists():
        _second_name(wal, kept.with_name(kept.name + _WAL))
    sync_folder(database.parent)
    for ending in (_WAL, "-shm"):
        database.with_name(database.name + ending).unlink(missing_ok=True)


def _second_name(file: Path, name: Path) -> None:
    with suppress(OSError):
        os.link(file, name)
        return
    shutil.copyfile(file, name)  # a disk that knows no second names
    name.chmod(file.stat().st_mode & 0o700)
    sync(name)
