"""The columns of a file as a person sees them: their names, examples, and what each could be read as."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from rapidfuzz import fuzz, process

from kb.errors import BadInput
from kb.intake.cells import read_cell
from kb.intake.column_names import USUAL_NAMES
from kb.intake.days import iso_day, order_of
from kb.intake.loose_names import LOOSE, readings
from kb.intake.name_hints import hinted
from kb.intake.own_table.header import Known
from kb.intake.own_table.table import NoRow, Table, never, open_table
from kb.intake.rows import RowError
from kb.intake.tables import first_of, fold
from kb.nouns.imports import AS_FOUND, DaysWritten, Layout

EXAMPLES = 3
DIFFERENT = 60
LOOK_THROUGH = 20_000
"""Rows whose values tell what a column could be: a word for a failure may stand far down."""
ALIKE = 84.0
"""Likeness of two names, of 100, from which one is taken for a slip of the other ("complant")."""


@dataclass(frozen=True, slots=True)
class FileColumn:
    """One column of a file: its name as it stands there, and its first different values.

    `examples` are few enough to be shown; `values` are more of them, to tell what the column is.
    """

    name: str
    examples: tuple[str, ...]
    values: tuple[str, ...] = ()


def own_table(
    data: bytes, layout: Layout = AS_FOUND, names: Collection[str] = (), no_row: NoRow = never
) -> Table:
    """The table of a file; its header is told by what shops call their columns, and by the `names` given."""
    return replace(open_table(data, layout, _names_known(names)), no_row=no_row)


def columns_of(table: Table) -> tuple[FileColumn, ...]:
    """The columns of a table, in its order."""
    seen: list[dict[str, None]] = [{} for _ in table.header]
    for row in islice(table.rows(), LOOK_THROUGH):
        if isinstance(row, RowError):
            continue
        for values, cell in zip(seen, row[1], strict=False):
            text = " ".join(read_cell(cell).split())
            if text and len(values) < DIFFERENT:
                values.setdefault(text)
    found = zip(table.header, map(tuple, seen), strict=True)
    return tuple(FileColumn(name, values[:EXAMPLES], values) for name, values in found)


def values_of(table: Table, names: Collection[str], rows: int | None = None) -> Iterator[str]:
    """What stands under the named columns, in the first so many rows or in all."""
    places = [place for place, name in enumerate(table.header) if name in names]
    for row in islice(table.rows(), rows):
        if not isinstance(row, RowError):
            yield from (row[1][place].strip() for place in places if place < len(row[1]))


def suggest(
    columns: Sequence[FileColumn], known: Sequence[str], before: Mapping[str, str] | None = None
) -> dict[str, str]:
    """What each column could be read as, empty for none; each of `known` is given out once.

    First come names that are ours, then what a shop chose `before`, then usual names, then names that may
    mean two things ("Flashed": a day, or yes and no) where the examples fit, then words of a name that the
    values agree with, then slips of any. A second
    column of one name ("Date (2)") is only what the shop chose before: nobody can guess which is which.
    """
    columns = [replace(one, values=_days_in_order(one.values or one.examples)) for one in columns]
    names = [one.name for one in columns]
    chosen = {fold(theirs): ours for theirs, ours in (before or {}).items() if ours in known or not ours}
    usual = {_bare(word): ours for ours in known for word in USUAL_NAMES.get(ours, ())}
    own = {fold(ours): ours for ours in known}
    told = {one.name: readings(one.name, one.values, known, _bare) for one in columns}
    loose = {name: fit for name, fit in told.items() if fit is not None}
    read_as: dict[str, str] = {}
    tables: tuple[Mapping[str, Sequence[str]], ...] = (
        {name: [ours] for name in names if (ours := (own | chosen).get(fold(name))) is not None},
        {name: [usual[_bare(name)]] for name in names if _bare(name) in usual},
        {name: fit for name, fit in loose.items() if fit},
        {one.name: fit for one in columns if (fit := list(hinted(one.name, one.values, known)))},
        {name: [""] for name, fit in loose.items() if not fit},
    )
    for table in tables:
        for name in (name for name in table if name not in read_as):
            free = [ours for ours in table[name] if not ours or ours not in read_as.values()]
            if free:
                read_as[name] = free[0]
    for name in names:
        if name not in read_as and first_of(name, names):
            read_as[name] = ""
        elif name not in read_as:
            read_as[name] = _slip_of(name, {**usual, **own}, set(read_as.values()))
    return read_as


def _names_known(names: Collection[str]) -> Known:
    known = {_bare(name) for name in names} | _USUAL
    return lambda name: _bare(name) in known


def _days_in_order(values: tuple[str, ...]) -> tuple[str, ...]:
    """The values with their days as readers know them, whatever their order: which it is does not matter."""
    told = order_of(values)
    order = DaysWritten.MONTH_FIRST if told is DaysWritten.YEAR_FIRST else told
    return tuple(iso_day(one, order) for one in values)


def refuse_double(read_as: Mapping[str, str]) -> None:
    """Raise BadInput where two columns are read as one."""
    taken: dict[str, str] = {}
    for theirs, ours in read_as.items():
        if ours and ours in taken:
            raise BadInput(
                f"Two columns are read as {ours}: “{taken[ours]}” and “{theirs}”. Leave one of them out.",
                fields={theirs: f"also read as {ours}"},
            )
        taken[ours] = theirs


def _slip_of(name: str, words: Mapping[str, str], taken: set[str]) -> str:
    free = {word: ours for word, ours in words.items() if ours not in taken}
    found = process.extractOne(_bare(name), free.keys(), scorer=fuzz.ratio, score_cutoff=ALIKE)
    return free[found[0]] if found else ""


def _bare(name: str) -> str:
    """The letters and digits of a name: "RO #" and "Fixed?" as "ro" and "fixed"."""
    return re.sub(r"\W", "", fold(name))


_USUAL = frozenset(
    _bare(name)
    for name in (
        *USUAL_NAMES,
        *(name for names in USUAL_NAMES.values() for name in names),
        *(name for one in LOOSE for name in (one.ours, *one.names)),
    )
)
"""What shops and we call columns of any kind."""
