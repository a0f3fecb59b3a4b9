"""Rows that an import left out, as a file with the reasons, which comes in when its cells are put right."""

from __future__ import annotations

import csv
import io
from collections import defaultdict
from collections.abc import Iterator, Sequence

from kb.desk.context import Desk, lead_or_owner
from kb.desk.imports.import_jobs import importer_of, job_row
from kb.errors import NotFound
from kb.intake.cells import write_cell
from kb.intake.formats import table_of
from kb.intake.own_table.table import Table
from kb.intake.rows import RowError, Severity, UnreadRow
from kb.nouns.imports import REASON_COLUMN, HowToRead
from kb.records.store.imports import left_out_rows as store
from kb.records.tables import ImportJob

AT_ONCE = 1000


@lead_or_owner
def note_left_out(desk: Desk, row: ImportJob, met: Sequence[RowError]) -> None:
    """Write down which lines a batch left out, and why; what stands in them is filled in at the end."""
    if row.dry_run or not importer_of(row.format).columns:
        return
    theirs = {ours: name for name, ours in row.summary.get("columns", {}).items()}
    reasons: dict[int, list[str]] = defaultdict(list)
    for one in met:
        if one.severity is Severity.ERROR and one.line:
            named = theirs.get(one.field, one.field)
            reasons[one.line].append(f"{named}: {one.message}" if named else one.message)
    said = {line: f"line {line}: {' '.join(some)}" for line, some in reasons.items()}
    store.add(desk.session, row.id or 0, said)


@lead_or_owner
def fill_in(desk: Desk, row: ImportJob, data: bytes, how: HowToRead) -> None:
    """Put down what stands in the lines that were left out, and the names of the columns."""
    lines = store.lines_of(desk.session, row.id or 0)
    table = table_of(importer_of(row.format), data, how)
    if lines and table is not None:
        store.put_cells(desk.session, row.id or 0, _cells(table, lines))
        row.summary = {**row.summary, "header": list(table.header)}


@lead_or_owner
def left_out_file(desk: Desk, import_id: int) -> bytes:
    """The rows that an import left out as CSV in UTF-8: the reason first, then the cells as they stood.

    NotFound where it left none out, or did not end.
    """
    header = job_row(desk, import_id).summary.get("header")
    rows = store.rows_of(desk.session, import_id)
    if not header or not rows:
        raise NotFound(f"Import {import_id} has no rows that were left out.")
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow([REASON_COLUMN, *header])
    writer.writerows([write_cell(reason), *map(_as_written, cells)] for _, reason, cells in rows)
    return text.getvalue().encode("utf-8-sig")


def _as_written(cell: str) -> str:
    """A cell that was read from a file stands as it stood there, and so is safe as it was, or is made so."""
    return cell if cell.startswith("'") else write_cell(cell)


def _cells(table: Table, lines: set[int]) -> Iterator[tuple[int, Sequence[str]]]:
    for row in table.opener():
        if isinstance(row, UnreadRow) and row.line in lines:
            yield row.line, row.cells
        elif not isinstance(row, RowError) and row[0] in lines:
            yield row
