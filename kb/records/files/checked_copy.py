"""A checked copy of the shop's database while it works, with its check sheet beside it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from kb.errors import Conflict, NotDone, Unreadable
from kb.records.files import check_sheet as sheets
from kb.records.files.database_contents import Contents, as_one_file, contents_of, one_moment, sound_contents
from kb.records.files.whole_files import clear_leftovers, sync, written_aside


def copy_out(database: Path, target: Path, now: datetime) -> sheets.CheckSheet:
    """Copy one moment of `database` to `target` and give the sheet written beside it.

    What was written is read back from the disk and compared before it gets its name, and the sheet gets its
    name first: there is never a copy without one. Raises Conflict if `target` exists, Unreadable if the
    shop's own database is damaged, NotDone if the disk or another program stands in the way.
    """
    if target.exists():
        raise Conflict(f"There is a file {target} already. Name another one.")
    with plainly(f"No copy was made at {target}"):
        clear_leftovers(target.parent)
        with written_aside(target) as aside:
            holds = _copy_pages(database, aside)
            as_one_file(aside)
            sync(aside)
            if sound_contents(aside) != holds:
                raise NotDone(
                    f"The copy read back from {target.parent} is not what was written. Use another disk."
                )
            sheet = sheets.written_for(aside, holds, now)
            with written_aside(sheets.sheet_of(target)) as paper:
                paper.write_text(sheets.as_text(sheet), "utf-8")
    return sheet


def _copy_pages(database: Path, aside: Path) -> Contents:
    try:
        with one_moment(database) as source:
            holds = contents_of(source)
            with closing(sqlite3.connect(aside)) as copy:
                source.backup(copy)
            return holds
    except sqlite3.OperationalError:
        raise
    except (sqlite3.DatabaseError, Unreadable) as error:
        raise Unreadable(
            f"{database} is no sound database of a shop: {error} Put the newest backup back."
        ) from None


@contextmanager
def plainly(nothing_done: str) -> Iterator[None]:
    """Say in a sentence that nothing was done and why, where a disk or a database stands in the way."""
    try:
        yield
    except OSError as error:
        raise NotDone(f"{nothing_done}: {error.strerror or error}. {_REMEDY}") from error
    except (sqlite3.Error, DBAPIError) as error:
        raise NotDone(f"{nothing_done}: {getattr(error, 'orig', None) or error}. {_REMEDY}") from error


_REMEDY = "Free some room or name another disk, then try again; the shop is as it was."
