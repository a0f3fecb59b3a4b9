"""Text files as numbered rows of fields: quoted CSV and plain TAB."""

from __future__ import annotations

import csv
import re
from collections import deque
from collections.abc import Collection, Iterable, Iterator
from itertools import count, islice

from kb.errors import Unreadable
from kb.intake.rows import RowError
from kb.intake.source import TextFile

Row = tuple[int, list[str]]
_LOOK_AT = 20


def csv_rows(source: TextFile) -> Iterator[Row | RowError]:
    """Rows with the line where each begins, without blank ones.

    Fields are parted by comma, semicolon or TAB, whichever the first line has most of. A row that cannot be
    read, for a missing quote say, is an error; the lines that it swallowed are read again as rows.
    """
    sign = _delimiter(source)
    with source.open() as text:
        record: list[str] = []
        again: deque[str] = deque()
        reader = csv.reader(_lines(text, record, again), delimiter=sign, strict=True)
        line, width = 1, 0
        while True:
            record.clear()
            trouble = "it runs on over the next one"
            try:
                fields = next(reader)
            except StopIteration:
                return
            except csv.Error as wrong:
                fields, trouble = [], str(wrong)
            width = width or len(fields)
            if fields and (len(fields) <= width or len(record) == 1):
                yield line, fields
            elif fields or record[0].strip():
                yield RowError(line, "", f"This row cannot be read: {trouble}. Look for a missing quote.")
                again.extendleft(reversed(record[1:]))
                del record[1:]
                reader = csv.reader(_lines(text, record, again), delimiter=sign, strict=True)
            line += len(record)


def _lines(text: Iterable[str], record: list[str], again: deque[str]) -> Iterator[str]:
    """Lines put into `again`, then those of the text; each is kept in `record` while its row is read."""
    while again:
        record.append(again.popleft())
        yield record[-1]
    for line in text:
        record.append(line)
        yield line


def _delimiter(source: TextFile) -> str:
    with source.open() as text:
        first = next((line for line in islice(text, _LOOK_AT) if line.strip()), "")
    return max(",;\t", key=first.count)


def tab_rows(source: TextFile) -> Iterator[Row | RowError]:
    """Rows of a TAB file, which knows no quotes."""
    with source.open() as text:
        for line, said in enumerate(text, start=1):
            if said.strip():
                yield line, said.rstrip("\r\n").split("\t")


def header_of(source: TextFile) -> list[str]:
    """The names in the first row that is not blank, told apart; Unreadable where the file has none."""
    first = next(csv_rows(source), None)
    if first is None or isinstance(first, RowError):
        raise Unreadable("The first line cannot be read as the names of the columns. Save the table as CSV.")
    return told_apart(first[1])


def told_apart(names: Iterable[str]) -> list[str]:
    """Names of columns, of which a second "Date" (or "date") is called "Date (2)"; nameless ones stay so."""
    stripped = [name.strip() for name in names]
    taken = {fold(name) for name in stripped}
    met: set[str] = set()
    told: list[str] = []
    for name in stripped:
        apart = name
        if name and fold(name) in met:
            apart = next(one for n in count(2) if fold(one := f"{name} ({n})") not in taken)
        taken.add(fold(apart))
        met.add(fold(name))
        told.append(apart)
    return told


def first_of(name: str, names: Collection[str]) -> str:
    """The column that a doubled one ("Date (2)") has its name from; empty where it is no double."""
    found = re.fullmatch(r"(.+) \([0-9]+\)", name)
    return next((one for one in names if found and fold(one) == fold(found[1])), "")


def fold(name: str) -> str:
    """A column's name without what people write differently."""
    return re.sub(r"[\s_\-]+", "", name).casefold()


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
