"""Reading the fields of our own CSV formats: names of columns, and one value at a time.

Every reader takes the text of a cell, gives None (or the stated default) for an empty one, and raises
BadInput with a sentence that says how to write it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from datetime import date
from decimal import Decimal, InvalidOperation

from kb.errors import BadInput, Unreadable
from kb.intake.cells import read_cell
from kb.intake.own_table.table import Table
from kb.intake.rows import RowError, Severity
from kb.intake.tables import first_of, fold
from kb.nouns.typed_numbers import ungrouped

_NO_READING = frozenset(
    ("-", "--", "n/a", "na", "none", "unknown", "unk", "?", "tmu", "exempt", "not read", "null")
)
_UNIT = re.compile(r"\s*(?:miles?|mls?|mi)\.?$", re.IGNORECASE)
_THOUSANDS = re.compile(r"(\d{1,3}(?:\.\d)?)\s*k(?:\s*mi(?:les)?\.?)?", re.IGNORECASE)
_KILOMETERS = re.compile(r"\d\s*(?:km|kms|kilomet(?:er|re)s?)\b", re.IGNORECASE)
_CURRENCY = re.compile(
    r"^(?:us|c|a)?[$\u20ac\u00a3]|^(?:usd|cad|eur|gbp)\b|[$\u20ac\u00a3]$|(?:usd|cad|eur|gbp)$", re.IGNORECASE
)
_COMMA_DECIMALS = re.compile(r"\d{1,3}(?:\.\d{3})*,\d{1,2}|\d+,\d{1,2}")
_TOO_MANY = "This row has more fields than the first line; quote texts with commas."
_ONE_COLUMN = " This file has one column only: export it with commas, semicolons, TABs or | between columns."
_DAY = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})(?:[T ]00:00(?::00)?)?")
Named = tuple[int, dict[str, str]]


def column_places(header: Sequence[str], known: Collection[str], own: Mapping[str, str]) -> dict[str, int]:
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


def doubled_columns(table: Table, places: Mapping[str, int], own: Mapping[str, str]) -> tuple[RowError, ...]:
    """A warning for each column that has the name of one that is read, and is left out without a choice."""
    said = {fold(name) for name in own}
    header = table.header
    read = {header[place] for place in places.values()}
    return tuple(
        RowError(
            table.layout.header_line,
            name,
            f"The file has another column named “{first}”, which is the one that was read. This one was left "
            f"out; call it “{name}” to say what it is.",
            Severity.WARNING,
        )
        for name in header
        for first in [first_of(name, read)]
        if first and name not in read and fold(name) not in said
    )


def require_columns(table: Table, places: Collection[str], required: Collection[str], name: str) -> None:
    """Raise Unreadable that names the required columns which the first line lacks."""
    one_column = len(table.header) == 1
    missing = [column for column in required if column not in places]
    if missing:
        raise Unreadable(
            f"{_must_name(table, name)}, and {', '.join(missing)} "
            f"{'is' if len(missing) == 1 else 'are'} not there. "
            "Add or rename the column, or say which of your columns it is."
            f"{_ONE_COLUMN if one_column else ''}"
        )


def named_rows(
    table: Table, places: Mapping[str, int], exact: Collection[str] = ()
) -> Iterator[Named | RowError]:
    """Data rows as column name to text, and notices of lines that are none.

    White space around a cell is dropped, but not in the `exact` columns.
    """
    for row in table.rows():
        if isinstance(row, RowError):
            yield row
        elif any(cell.strip() for cell in row[1][len(table.header) :]):
            yield RowError(row[0], "", _TOO_MANY)
        else:
            cells = {name: _cell(row[1], place) for name, place in places.items()}
            yield row[0], {name: cell if name in exact else cell.strip() for name, cell in cells.items()}


def is_read(read: Callable[[str], object], text: str) -> bool:
    """Whether a reader understands the text of a cell."""
    try:
        read(text)
    except BadInput:
        return False
    return True


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


def read_count(text: str) -> int | None:
    """A whole number, 0 or more; commas may part thousands ("84,210"), a spreadsheet's ".0" is dropped."""
    plain = re.sub(r"\.0+$", "", ungrouped(text))
    if not plain:
        return None
    if plain.isascii() and plain.isdecimal() and len(plain) <= 9:
        return int(plain)
    raise BadInput(f'"{text}" is no whole number. Write digits only, such as 84210.')


def is_not_known(text: str) -> bool:
    """A mark that an odometer was not read or does not tell."""
    return text.casefold().strip(".") in _NO_READING


def read_odometer(text: str) -> int | None:
    """Miles, with or without their unit ("69,810 mi", "69.8k"). Kilometers are refused, not converted."""
    if _KILOMETERS.search(text):
        raise BadInput(f'"{text}" is in kilometers. Write miles.')
    thousands = _THOUSANDS.fullmatch(text)
    if thousands:
        return round(Decimal(thousands[1]) * 1000)
    return read_count(re.sub(r"(?<=\d) (?=\d{3}\b)", ",", _UNIT.sub("", text)))


def read_money(text: str) -> Decimal | None:
    """An amount, 0 or more, in the shop's currency, as people write it: "$1,234.50", "1.234,50 EUR".

    In parentheses, as bookkeepers write what was spent, it is the same amount.
    """
    plain = _CURRENCY.sub("", text).strip()
    if plain.startswith("(") and plain.endswith(")"):
        plain = _CURRENCY.sub("", plain[1:-1]).strip()
    plain = plain.replace(" ", "").replace("\u00a0", "")
    if _COMMA_DECIMALS.fullmatch(plain):
        plain = plain.replace(".", "").replace(",", ".")
    plain = ungrouped(plain)
    if not plain or plain in ("-", "--"):
        return None
    try:
        amount = Decimal(plain)
    except InvalidOperation:
        amount = Decimal(-1)
    if amount.is_finite() and 0 <= amount < 10**9:
        return amount
    raise BadInput(f'"{text}" is no amount. Write it as 128.50.')


def _must_name(table: Table, name: str) -> str:
    at = table.layout.header_line
    if at == 1:
        return f"The first line of a {name} file must name its columns"
    return f"Line {at} was taken for the one that names the columns"


def _cell(fields: list[str], place: int) -> str:
    return read_cell(fields[place]).replace("\r\n", "\n") if place < len(fields) else ""
