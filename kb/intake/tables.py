"""Text files as numbered rows of fields: quoted CSV and plain TAB."""

from __future__ import annotations

import csv
import re
from collections import deque
from collections.abc import Collection, Iterable, Iterator
from itertools import count, islice

from kb.errors import Unreadable
from kb.intake.rows import RowError, UnreadRow
from kb.intake.source import TextFile

Row = tuple[int, list[str]]
_LOOK_AT = 20


def csv_rows(source: TextFile, separator: str = "", begin: int = 1) -> Iterator[Row | RowError]:
    """Rows from the line `begin` on, with the line where each begins, without blank ones.

    Without a `separator` it is comma, semicolon or TAB, whichever the first line has most of. A row that
    cannot be read, for a missing quote say, is an error; the lines that it swallowed are read again as rows.
    Between TABs, where few programs quote, quotes may only mark a word (`"check engine" lamp on`).
    """
    with source.open() as text:
        record: list[str] = []
        again: deque[str] = deque()
        lines = islice(text, begin - 1, None)
        sign = separator or _delimiter(source)
        reader = csv.reader(_lines(lines, record, again), delimiter=sign, strict=True)
        line, width = begin, 0
        while True:
            record.clear()
            trouble = ""
            try:
                fields = next(reader)
            except StopIteration:
                return
            except csv.Error as wrong:
                fields, trouble = _with_inner_quotes(record[0], sign, width), str(wrong)
            width = width or len(fields)
            if trouble or (len(fields) > width and len(record) > 1):
                again.extendleft(reversed(record[1:]))
                del record[1:]
                reader = csv.reader(_lines(lines, record, again), delimiter=sign, strict=True)
                fields = fields if trouble else []
            if fields:
                yield line, fields
            elif record[0].strip():
                trouble = trouble or "it runs on over the next one"
                said = f"This row cannot be read: {trouble}. Look for a missing quote."
                yield UnreadRow(line, "", said, cells=tuple(_loosely(record[0], sign)))
            line += len(record)


def _with_inner_quotes(line: str, sign: str, width: int) -> list[str]:
    fields = line.rstrip("\r\n").split(sign)
    return fields if sign == "\t" and len(fields) == width and line.count('"') % 2 == 0 else []


def _loosely(line: str, sign: str) -> list[str]:
    """The fields of a line by itself, quotes inside its cells and all."""
    try:
        return next(csv.reader([line], delimiter=sign), [])
    except csv.Error:
        return [line]


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
    stripped = [" ".join(name.split()) for name in names]
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
            f"A {name} file has {width} fields a line, TAB between; this one has {max(widths, default=0)}. "
            "Choose the format that fits, or fetch the file again."
        )


def trim(fields: list[str], width: int) -> list[str]:
    """The fields without empty ones beyond the width, which some copies of a file carry."""
    return fields[:width] if len(fields) > width and not any(fields[width:]) else fields
