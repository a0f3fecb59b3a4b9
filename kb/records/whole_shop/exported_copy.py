"""A checked copy of a shop that is in no file: its export, with a check sheet beside it."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from kb.errors import Conflict
from kb.records.engine import Records
from kb.records.files import check_sheet as sheets
from kb.records.files.checked_copy import plainly
from kb.records.files.database_contents import Contents
from kb.records.files.whole_files import clear_leftovers, sync, written_aside
from kb.records.store.shop.opening import the_shop
from kb.records.whole_shop.export_file import entries, look_through
from kb.records.whole_shop.sealed_lines import sealed


def write_out(records: Records, target: Path, now: datetime) -> sheets.CheckSheet:
    """Write the shop as it is at one moment to `target` and give the sheet written beside it.

    Every line is read back against its seal before the file gets its name. Raises Conflict if `target`
    exists, Unreadable if what was read back is not what was written, NotDone if the disk stands in the way.
    """
    if target.exists():
        raise Conflict(f"There is a file {target} already. Name another one.")
    with plainly(f"No copy was made at {target}"):
        clear_leftovers(target.parent)
        with written_aside(target) as aside:
            _write(records, aside)
            sync(aside)
            read = look_through(aside)
            holds = Contents(read.shop, is_demo=False, schema=read.schema, tables=dict(read.tables))
            sheet = sheets.written_for(aside, holds, now)
            with written_aside(sheets.sheet_of(target)) as paper:
                paper.write_text(sheets.as_text(sheet), "utf-8")
    return sheet


def _write(records: Records, aside: Path) -> None:
    with records.reading() as session, aside.open("w", encoding="ascii", newline="\n") as out:
        shop = the_shop(session)
        out.writelines(sealed(entries(session, shop.name if shop else "")))
