"""Taking the whole shop out as a file of lines, and such a file in again as a shop."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any, TextIO

from sqlalchemy import Connection, Engine

from kb.desk.context import Desk, owner_only
from kb.desk.opening_database import server_lock
from kb.desk.shop.rows_in_words import counted
from kb.errors import Conflict
from kb.records.engine import database_file, open_engine
from kb.records.files.checked_copy import plainly
from kb.records.files.one_holder import held
from kb.records.files.whole_files import clear_leftovers, make_private_folder, written_aside
from kb.records.migrate import changing_tables, refuse_newer, standing, upgrade
from kb.records.whole_shop import empty_tables, export_file
from kb.records.whole_shop.export_file import ExportContents
from kb.records.whole_shop.highest_ids import go_on_after
from kb.records.whole_shop.rows_in import write_rows
from kb.records.whole_shop.sealed_lines import sealed


@owner_only
def export_rows(desk: Desk) -> Iterator[dict[str, Any]]:
    """Everything of the shop but what `kb.records.whole_shop.left_out` names, as `export_file.entries`."""
    return export_file.entries(desk.session, desk.shop.name)


@owner_only
def export_to(desk: Desk, out: TextIO) -> int:
    """Write the export as sealed JSON lines and give their number."""
    count = 0
    for count, line in enumerate(sealed(export_rows(desk)), start=1):  # noqa: B007  # counts the lines
        out.write(line)
    return count


@owner_only
def export_to_file(desk: Desk, target: Path) -> int:
    """The export as a private file that is whole or not there. Raises NotDone where the disk is full."""
    with plainly(f"Nothing was written to {target}"):
        clear_leftovers(target.parent)
        with written_aside(target) as aside, aside.open("w", encoding="ascii", newline="\n") as out:
            return export_to(desk, out)


def look_through(file: Path) -> ExportContents:
    """What the export holds, each line held against its seal; Unreadable where it cannot be brought in."""
    return export_file.look_through(file)


def bring_in(
    file: Path, url: str, now: datetime, step: Callable[[str], None] = lambda _words: None
) -> ExportContents:
    """Make the export the shop of an empty database, ids and all, in one transaction.

    People come in disabled. Older tables come in as they were and are then brought up to date. Raises what
    `look_through` raises, Conflict where the shop there is not empty or a server has it open, NotDone where
    a disk is full: what was there stays as it was.
    """
    step("looking through the file")
    holds = look_through(file)
    step(f"bringing {sum(holds.tables.values()):,} rows in")
    database = database_file(url)
    if database is None:
        _bring_into(open_engine(url), file, holds, now)
        return holds
    make_private_folder(database.parent)
    with held(server_lock(database), "import", now, "Stop it first, then bring the export in."):
        _bring_into(open_engine(url), file, holds, now)
    return holds


def _bring_into(engine: Engine, file: Path, holds: ExportContents, now: datetime) -> None:
    try:
        refuse_newer(standing(engine))
        with plainly("Nothing was brought in"), changing_tables(engine) as connection:
            before = empty_tables.counted_so_far(connection)
            _refuse_unless_empty(connection)
            empty_tables.make_anew(connection, holds.schema)
            write_rows(connection, export_file.rows_of(file), now)
            go_on_after(connection, holds.highest_ids)
            upgrade(connection)
            go_on_after(connection, holds.highest_ids)
            empty_tables.count_on_from(connection, before)
    finally:
        engine.dispose()


def _refuse_unless_empty(connection: Connection) -> None:
    entered = empty_tables.rows_entered(connection)
    if entered:
        raise Conflict(
            f"The shop there is not empty: it holds {counted(entered)}. An export comes into an empty one: "
            "name a new folder in BEFOREFLASH_DATA, or a new database in BEFOREFLASH_DATABASE_URL."
        )
