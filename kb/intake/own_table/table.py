"""A table of the shop's own in a file: text or workbook, wherever in it the table stands."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from kb.errors import BadInput, Unreadable
from kb.intake.own_table.header import Known, Line, header_line_of
from kb.intake.own_table.separators import separator_of
from kb.intake.own_table.workbooks import is_workbook, sheets_of
from kb.intake.rows import RowError, Severity
from kb.intake.source import TextFile, open_text
from kb.intake.tables import Row, csv_rows, told_apart
from kb.nouns.imports import AS_FOUND, Encoding, Layout, Separator

LOOK_AT = 60
"""Lines among which the header is looked for."""
_HEAD = 1 << 16
NoRow = Callable[[Sequence[str], int], bool]
_SHOWN = 60
_NO_NAMES = "The first line cannot be read as the names of the columns. Save the table as CSV or .xlsx."


def never(cells: Sequence[str], width: int) -> bool:
    """No line of the table is a total."""
    return False


@dataclass(frozen=True, slots=True)
class Table:
    """Names of columns, told apart, and rows that can be read again and again.

    `layout` says where it stands, with nothing left open; `sheets` are those of its workbook. `warnings` are
    of the whole file. `no_row` tells totals and remarks, by the cells of a line and the number of columns.
    """

    header: tuple[str, ...]
    layout: Layout
    opener: Callable[[], Iterator[Row | RowError]]
    warnings: tuple[RowError, ...] = ()
    sheets: tuple[str, ...] = ()
    no_row: NoRow = never

    def rows(self) -> Iterator[Row | RowError]:
        """The rows below the header. A total or remark between them is a notice, the header again nothing."""
        for row in self.opener():
            if isinstance(row, RowError):
                yield row
            elif self.no_row(row[1], len(self.header)):
                yield _no_row(*row)
            elif not self._is_header(row[1]) and any(cell.strip() for cell in row[1]):
                yield row

    def _is_header(self, cells: Sequence[str]) -> bool:
        same = len(cells) == len(self.header) and cells[0].strip() == self.header[0]
        return same and tuple(told_apart(cells)) == self.header


def open_table(data: bytes, layout: Layout = AS_FOUND, known: Known = bool) -> Table:
    """The table of a file, where the `layout` says it stands or it is found; `known` names tell its header.

    Raises Unreadable where there is none, BadInput for a sheet or line that the file does not have.
    """
    return _of_workbook(data, layout, known) if is_workbook(data) else _of_text(data, layout, known)


def _of_text(data: bytes, layout: Layout, known: Known) -> Table:
    source = open_text(data, layout.encoding)
    with source.open() as text:
        lines = [line[:_HEAD] for line in islice(text, LOOK_AT)]
    sign = layout.separator or separator_of("".join(lines))
    number = layout.header_line or header_line_of(_first_rows(lines, sign), known)
    first = next(csv_rows(source, sign, number), None) if number else None
    if first is None or isinstance(first, RowError):
        _refuse_line(layout.header_line)
        raise Unreadable(_NO_NAMES)
    encoding = layout.encoding or _encoding_of(source)
    return Table(
        header=tuple(told_apart(first[1])),
        layout=Layout(first[0], sign, encoding),
        opener=lambda: islice(csv_rows(source, sign, number), 1, None),
        warnings=source.warnings,
    )


def _first_rows(lines: Sequence[str], sign: Separator) -> list[Line]:
    """Rows of the first lines, however they are quoted."""
    reader, found, begins = csv.reader(lines, delimiter=sign), list[Line](), 1
    try:
        for cells in reader:
            said = cells[0].strip().removeprefix("\ufeff") if cells else ""
            if not (len(found) == 0 and said.startswith("sep=")):
                found.append((begins, cells))
            begins = reader.line_num + 1
    except csv.Error:
        pass  # what stands before it is enough
    return found


def _encoding_of(source: TextFile) -> Encoding:
    plain = source.encoding.removesuffix("-sig").removesuffix("-le").removesuffix("-be")
    return Encoding(plain)


def _of_workbook(data: bytes, layout: Layout, known: Known) -> Table:
    sheets = sheets_of(data)
    if layout.sheet and layout.sheet not in sheets:
        listed = ", ".join(f"“{name}”" for name in sheets)
        raise BadInput(
            f"The workbook has no sheet “{layout.sheet}”. It has {listed}.", fields={"sheet": "not there"}
        )
    name = layout.sheet or _best_sheet(sheets, known)
    rows = sheets[name]
    number = layout.header_line or header_line_of(_numbered(rows[:LOOK_AT]), known)
    if not number or number > len(rows) or not any(rows[number - 1]):
        _refuse_line(layout.header_line)
        raise Unreadable("The workbook is empty. Choose the file again, or another sheet of it.")
    header = tuple(told_apart(rows[number - 1]))
    below = [row for row in _numbered(rows) if row[0] > number]
    found = replace(layout, header_line=number, sheet=name, separator=None, encoding=None)
    return Table(header, found, lambda: iter(below), (), tuple(sheets))


def _best_sheet(sheets: dict[str, list[list[str]]], known: Known) -> str:
    """The sheet whose header has the most known names; of several the longest, then the first."""

    def worth(name: str) -> tuple[int, int]:
        rows = sheets[name]
        number = header_line_of(_numbered(rows[:LOOK_AT]), known)
        return (sum(known(one) for one in rows[number - 1]) if number else 0, len(rows))

    return max(sheets, key=worth)


def _numbered(rows: Sequence[list[str]]) -> list[Row]:
    return [(at + 1, row) for at, row in enumerate(rows)]


def _refuse_line(asked: int) -> None:
    if asked:
        message = f"Line {asked} cannot be read as the names of the columns. Say which line they stand in."
        raise BadInput(message, fields={"header_line": "no names"})


def _no_row(line: int, cells: Sequence[str]) -> RowError:
    said = " ".join(" · ".join(filter(None, map(str.strip, cells))).split())
    short = said if len(said) <= _SHOWN else f"{said[: _SHOWN - 1]}…"
    return RowError(
        line, "", f"Taken for a total, heading or remark, not for a row: “{short}”.", Severity.NOTICE
    )
