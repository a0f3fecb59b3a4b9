"""Tables as CSV text (RFC 4180) whose cells no spreadsheet takes for formulas."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from datetime import date

from kb.intake.cells import write_cell

Cell = str | int | float | bool | date | None
Table = tuple[Sequence[str], Iterable[Sequence[Cell]]]


def written(table: Table) -> str:
    """Head and rows as CSV text (RFC 4180)."""
    head, rows = table
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow([write_cell(one) for one in head])
    writer.writerows([[_cell(one) for one in row] for row in rows])
    return out.getvalue()


def _cell(value: Cell) -> str:
    """Numbers are written as they are: a minus before digits is a number, not a formula."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None:
        return ""
    return write_cell(value) if isinstance(value, str) else str(value)
