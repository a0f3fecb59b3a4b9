"""Text files as numbered rows of fields: quoted CSV and plain TAB."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from itertools import islice

from kb.errors import Unreadable
from kb.intake.rows import RowError
from kb.intake.source import TextFile

Row = tuple[int, list[str]]
_LOOK_AT = 20


def csv_rows(source: TextFile) -> Iterator[Row | RowError]:
    """Rows with the line where each begins, without blank ones; a row that cannot be read is an error."""
    with source.open() as text:
        reader = csv.reader(text)
        while True:
            line = reader.line_num + 1
            try:
                fields = next(reader)
            except StopIteration:
                return
            except csv.Error as trouble:
                yield RowError(line, "", f"This row cannot be read ({trouble}). Look for a missing quote.")
                continue
            if fields:
                yield line, fields


def tab_rows(source: TextFile) -> Iterator[Row | RowError]:
    """Rows of a TAB file, which knows no quotes."""
    with source.open() as text:
        for line, said in enumerate(text, start=1):
            if said.strip():
                yield line, said.rstrip("\r\n").split("\t")


def header_of(source: TextFile) -> list[str]:
    """The fields of the first row that is not blank; Unreadable where the file has none."""
    first = next(csv_rows(source), None)
    if first is None or isinstance(first, RowError):
        raise Unreadable("The first line cannot be read as the names of the columns. Save the table as CSV.")
    return [name.strip() for name in first[1]]


def require_width(rows: Iterable[Row | RowError], width: int, name: str) -> None:
    """Raise Unreadable unless one of the first rows has the number of TAB fields of this format."""
    widths = [len(trim(row[1], width)) for row in islice(rows, _LOOK_AT) if not isinstance(row, RowError)]
    if width not in widths:
        raise Unreadable(
            f"A {name} file has {width} fields a line, parted by TAB; this one has {max(widths, default=0)}. "
            "Choose the format that fits, or fetch the file again."
        )


def trim(fields: list[str], width: int) -> list[str]:
    """The fields without empty ones beyond the width, which some copies of a file carry."""
    return fields[:width] if len(fields) > width and not any(fields[width:]) else fields
