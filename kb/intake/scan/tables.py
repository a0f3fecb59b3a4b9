"""Tables in a text: a line that names columns, and the cells of the lines below it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from kb.intake.scan.labels import Label, label_alone, module_alone
from kb.intake.scan.statuses import status_alone
from kb.intake.scan.trouble_codes import codes_in_line

_RULE = re.compile(r"[\s|+=:_\-\u2500-\u257f]*")
_SIGNS = ("|", "\t", ";", ",")
_CELL = re.compile(r"\S+(?: \S+)*")


@dataclass(frozen=True, slots=True)
class Cell:
    """The words of a cell and where it stands in its line."""

    words: str
    begins: int
    ends: int


@dataclass(frozen=True, slots=True)
class Column:
    """What a column holds, by its head: a label, else a module or a status that is ticked below."""

    label: Label | None
    module: str
    status: str
    begins: int
    ends: int


_LINE_NAMES = Column(None, "", "", 0, 0)
"""The column without a head in which lines are named, where columns are modules."""


@dataclass(frozen=True, slots=True)
class Table:
    """The columns of a head, and the sign that parts the cells (blanks where it is empty)."""

    columns: tuple[Column, ...]
    sign: str

    @property
    def is_turned(self) -> bool:
        """Whether each column is a module, and each line a field."""
        return sum(bool(one.module) for one in self.columns[1:]) >= 2 or (
            len(self.columns) == 2 and bool(self.columns[1].module) and self.columns[0].label is not None
        )

    def cells_of(self, line: str) -> tuple[tuple[Column, str], ...]:
        """The cells of a line below, each with its column; none where the line is no row of it."""
        cells = cells_in(line, self.sign)
        if len(cells) == len(self.columns) or (self.sign.strip(" ") and len(cells) > 1):
            return tuple((column, cell.words) for column, cell in zip(self.columns, cells, strict=False))
        if self.sign:
            return ()
        if len(cells) < 2:
            words = line.split()
            return tuple(zip(self.columns, words, strict=True)) if len(words) == len(self.columns) else ()
        apart = [part for cell in cells for part in _cut(self.columns, cell)]
        return tuple((_over(self.columns, part), part.words) for part in apart)


def table_at(line: str) -> Table | None:
    """The table that a line heads; None where it names fewer than two columns, or holds values."""
    if next(codes_in_line(line), None):
        return None
    for sign in (*(one for one in _SIGNS if one in line), ""):
        cells = cells_in(line, sign)
        columns = tuple(_column(cell) for cell in cells)
        if not sign and len(columns) > 1 and all(one.module for one in columns):
            columns = (_LINE_NAMES, *columns)
        known = [one for one in columns if one.label not in (None, Label.OTHER) or one.module or one.status]
        named = [one for one in columns if one.label or one.module or one.status]
        if len(known) >= 2 and len(named) * 3 >= len(cells) * 2 and _is_head(columns):
            return Table(columns, sign)
    return _by_single_blanks(line)


def _by_single_blanks(line: str) -> Table | None:
    """A head of labels alone with one blank between them ("Module Cal ID CVN"), as PDFs give it."""
    words, columns = line.split(), []
    while words and not re.search(r"[:=]", line):
        longest = next((n for n in range(min(4, len(words)), 0, -1) if label_alone(" ".join(words[:n]))), 0)
        if not longest:
            return None
        columns.append(Column(label_alone(" ".join(words[:longest])), "", "", 0, 0))
        words = words[longest:]
    first = columns[0].label if columns else None
    return Table(tuple(columns), " ") if len(columns) > 2 and first is Label.MODULE else None


def is_rule(line: str) -> bool:
    """A line drawn under a head or between rows."""
    return bool(line.strip()) and _RULE.fullmatch(line) is not None


def cells_in(line: str, sign: str) -> tuple[Cell, ...]:
    """The cells of a line, by the sign between them or by two blanks."""
    if not sign:
        return tuple(Cell(one[0], *one.span()) for one in _CELL.finditer(line))
    if sign == " ":
        return tuple(Cell(one[0], *one.span()) for one in re.finditer(r"\S+", line))
    text = line.strip()
    begins = line.index(text) if text else 0
    if sign == "|":
        begins += text.startswith("|")
        text = text.removeprefix("|").removesuffix("|")
    cells = []
    for words in text.split(sign):
        cells.append(Cell(words.strip(" \"'"), begins, begins + len(words)))
        begins += len(words) + 1
    return tuple(cells)


def _column(cell: Cell) -> Column:
    label = label_alone(cell.words) if cell.words else None
    status = "" if label else status_alone(cell.words)
    module = "" if label or status else module_alone(cell.words)
    return Column(label, module, status, cell.begins, cell.ends)


def _is_head(columns: Sequence[Column]) -> bool:
    labels = [one.label for one in columns if one.label not in (None, Label.OTHER)]
    turned = sum(bool(one.module) for one in columns[1:]) >= 2 and not columns[0].module
    ticks = sum(bool(one.status) for one in columns) >= 2 and bool(labels)
    return turned or ticks or (len(labels) >= 2 and not any(one.module for one in columns))


def _cut(columns: Sequence[Column], cell: Cell) -> tuple[Cell, ...]:
    """A cell so long that one blank is left to the next: cut where the head of that column begins."""
    for one in columns:
        at = one.begins - cell.begins
        if 0 < at < len(cell.words) and cell.words[at - 1] == " " and cell.words[at] != " ":
            rest = Cell(cell.words[at:], one.begins, cell.ends)
            return (Cell(cell.words[: at - 1].rstrip(), cell.begins, one.begins - 1), *_cut(columns, rest))
    return (cell,)


def _over(columns: Sequence[Column], cell: Cell) -> Column:
    """The column whose head stands over the cell, else the nearest."""

    def apart(one: Column) -> tuple[int, int]:
        return max(one.begins - cell.ends, cell.begins - one.ends, 0), abs(one.begins - cell.begins)

    return min(columns, key=apart)
