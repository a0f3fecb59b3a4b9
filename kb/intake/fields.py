"""Reading the fields of our own CSV formats: names of columns, and one value at a time.

Every reader takes the text of a cell, gives None (or the stated default) for an empty one, and raises
BadInput with a sentence that says how to write it.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from datetime import date
from decimal import Decimal, InvalidOperation

from kb.errors import BadInput, Unreadable
from kb.intake.cells import read_cell
from kb.intake.rows import RowError, Severity
from kb.intake.source import TextFile
from kb.intake.tables import csv_rows, first_of, fold, header_of, told_apart

_YES = {"yes", "y", "true", "1"}
_NO = {"no", "n", "false", "0"}
_TOO_MANY = "This row has more fields than the first line; quote texts with commas."
_DAY = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})(?:[T ]00:00(?::00)?)?")
Named = tuple[int, dict[str, str]]


def column_places(header: list[str], known: Collection[str], own: Mapping[str, str]) -> dict[str, int]:
    """Where each known column stands. `own` maps the shop's names to ours; case, spaces and hyphens fold.

    A column that `own` maps to nothing is left out, whatever its name.
    """
    ours = {fold(name): name for name in known} | {fold(k): v for k, v in own.items() if v in known}
    ours = {name: column for name, column in ours.items() if name not in {fold(k) for k in own if not own[k]}}
    places: dict[str, int] = {}
    for place, name in enumerate(header):
        if fold(name) in ours:
            places.setdefault(ours[fold(name)], place)
    return places


def doubled_columns(
    header: list[str], places: Mapping[str, int], own: Mapping[str, str]
) -> tuple[RowError, ...]:
    """A warning for each column that has the name of one that is read, and is left out without a choice."""
    said = {fold(name) for name in own}
    read = {header[place] for place in places.values()}
    return tuple(
        RowError(
            1,
            name,
            f"The file has another column named “{first}”, which is the one that was read. This one was left "
            f"out; call it “{name}” to say what it is.",
            Severity.WARNING,
        )
        for name in header
        for first in [first_of(name, read)]
        if first and name not in read and fold(name) not in said
    )


def require_columns(places: Collection[str], required: Collection[str], name: str) -> None:
    """Raise Unreadable that names the required columns which the first line lacks."""
    missing = [column for column in required if column not in places]
    if missing:
        raise Unreadable(
            f"The first line of a {name} file must name its columns, and {', '.join(missing)} "
            f"{'is' if len(missing) == 1 else 'are'} not there. "
            "Add or rename the column, or say which of your columns it is."
        )


def named_rows(
    source: TextFile, places: Mapping[str, int], exact: Collection[str] = ()
) -> Iterator[Named | RowError]:
    """Data rows as column name to text, without the header and rows of empty cells.

    White space around a cell is dropped, but not in the `exact` columns.
    """
    header = header_of(source)
    for row in csv_rows(source):
        if isinstance(row, RowError):
            yield row
        elif any(row[1][len(header) :]):
            yield RowError(row[0], "", _TOO_MANY)
        elif not _is_header(row[1], header) and any(cell.strip() for cell in row[1]):
            cells = {name: _cell(row[1], place) for name, place in places.items()}
            yield row[0], {name: cell if name in exact else cell.strip() for name, cell in cells.items()}


def read_day(text: str) -> date | None:
    """A day as 2026-03-31; a spreadsheet's midnight after it is dropped."""
    if not text:
        return None
    found = _DAY.fullmatch(text)
    if found:
        try:
            return date.fromisoformat(found[1])
        except ValueError:
            pass
    raise BadInput(
        f'"{text}" is no day. Write days as year-month-day: 2026-03-31, or say how the file writes them.'
    )


def read_yes_no(text: str) -> bool | None:
    """Yes or no."""
    word = text.casefold()
    if word in _YES or word in _NO or not word:
        return word in _YES if word else None
    raise BadInput(f'"{text}" is neither yes nor no. Write yes, no, or leave it empty.')


def read_count(text: str) -> int | None:
    """A whole number, 0 or more; commas may part thousands ("84,210"), a spreadsheet's ".0" is dropped."""
    plain = re.sub(r"\.0+$", "", re.sub(r"(?<=\d),(?=\d{3}\b)", "", text))
    if not plain:
        return None
    if plain.isascii() and plain.isdecimal() and len(plain) <= 9:
        return int(plain)
    raise BadInput(f'"{text}" is no whole number. Write digits only, such as 84210.')


def read_money(text: str) -> Decimal | None:
    """An amount, 0 or more, in the shop's currency; a dollar sign and commas of thousands may stand in it."""
    plain = re.sub(r"(?<=\d),(?=\d{3}\b)", "", text.removeprefix("$").strip())
    if not plain:
        return None
    try:
        amount = Decimal(plain)
    except InvalidOperation:
        amount = Decimal(-1)
    if amount.is_finite() and 0 <= amount < 10**9:
        return amount
    raise BadInput(f'"{text}" is no amount. Write it as 128.50.')


def _is_header(fields: list[str], header: list[str]) -> bool:
    return len(fields) == len(header) and fields[0].strip() == header[0] and told_apart(fields) == header


def _cell(fields: list[str], place: int) -> str:
    return read_cell(fields[place]).replace("\r\n", "\n") if place < len(fields) else ""
