"""Sheets of a workbook (.xlsx) as rows of text, as a CSV of them would say it.

A day is 2026-03-31, with its time where it has one; a whole number has no decimals; true and false are yes
and no; an error such as #N/A is empty. Hidden sheets are read like others.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from typing import TypeAlias

from python_calamine import CalamineError, CalamineWorkbook

from kb.errors import Unreadable
from kb.intake.archives import MOST_UNPACKED, open_archive

Cell: TypeAlias = int | float | str | bool | time | date | datetime | timedelta

MOST_CELLS = 40_000_000
_CHUNK = 1 << 20
_FILLED = re.compile(rb"<(?:\w+:)?c\b(?=[^>]*\br=\"([A-Z]{1,3})([0-9]{1,7})\")[^>]*[^/>]>")
_LONGEST_TAG = 400
_WHOLE = 1e15
_DAMAGED = (
    "The workbook is damaged or cut short. Open it in a spreadsheet program, save it again, and give that."
)


def is_workbook(data: bytes) -> bool:
    """Whether a file is a workbook, whatever its name says."""
    if not data.startswith(b"PK\x03\x04"):
        return False
    try:
        with open_archive(data) as archive:
            names = set(archive.namelist())
    except (zipfile.BadZipFile, EOFError, ValueError):
        return b"xl/workbook.xml" in data or b"xl/worksheets" in data
    return "xl/workbook.xml" in names


def sheets_of(data: bytes) -> dict[str, list[list[str]]]:
    """Rows of every sheet by its name, from its first row and column on.

    Raises Unreadable for a workbook that is damaged, has no table, or is a trap for memory.
    """
    _refuse_traps(data)
    try:
        with CalamineWorkbook.from_filelike(io.BytesIO(data)) as book:
            return {name: _rows(book, name) for name in book.sheet_names}
    except (CalamineError, OSError, ValueError, IndexError) as wrong:
        raise Unreadable(_DAMAGED) from wrong


def _rows(book: CalamineWorkbook, name: str) -> list[list[str]]:
    return [[_text(cell) for cell in row] for row in book.get_sheet_by_name(name).iter_rows()]


def _text(cell: Cell) -> str:
    if isinstance(cell, str):
        return cell
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, datetime):
        return cell.isoformat(" ", "seconds") if cell.time() != time() else cell.date().isoformat()
    if isinstance(cell, float):
        return f"{cell:.0f}" if cell.is_integer() and abs(cell) < _WHOLE else repr(cell)
    return str(cell)


def _refuse_traps(data: bytes) -> None:
    """Unpack every part once and throw it away: what a part says of its own size may be a lie."""
    left = MOST_UNPACKED
    try:
        with open_archive(data) as archive:
            for member in archive.infolist():
                is_sheet = member.filename.startswith("xl/worksheets/")
                for chunk in _unpacked(archive, member, is_sheet):
                    left -= len(chunk)
                    if left < 0:
                        raise Unreadable(_TOO_BIG)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, RuntimeError) as damage:
        raise Unreadable(_DAMAGED) from damage


_TOO_BIG = (
    "The workbook is too big to be read: unpacked it has more than 300 MB, or cells far apart. Save the "
    "sheet as CSV and give that file."
)


def _unpacked(archive: zipfile.ZipFile, member: zipfile.ZipInfo, is_sheet: bool) -> Iterator[bytes]:
    """The part of a workbook bit by bit; Unreadable where a sheet's filled cells span too much."""
    rows, columns, before = 0, 0, b""
    with archive.open(member) as stream:
        while chunk := stream.read(_CHUNK):
            yield chunk
            for found in _FILLED.finditer(before + chunk) if is_sheet else ():
                rows, columns = max(rows, int(found[2])), max(columns, _column(found[1]))
            if rows * columns > MOST_CELLS:
                raise Unreadable(_TOO_BIG)
            before = chunk[-_LONGEST_TAG:]


def _column(letters: bytes) -> int:
    """The number of a column: A is 1, Z 26, AA 27."""
    number = 0
    for letter in letters:
        number = number * 26 + letter - ord("A") + 1
    return number
