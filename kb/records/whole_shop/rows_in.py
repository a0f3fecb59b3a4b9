"""Rows of an export written into empty tables, whose columns are as the database itself tells them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby, islice
from typing import Any

from sqlalchemy import JSON, Connection, MetaData, Table, bindparam, insert, update

from kb.errors import Unreadable
from kb.records.whole_shop import left_out
from kb.records.whole_shop.cells import from_json, rows_at_once
from kb.records.whole_shop.sealed_lines import Line

_ROWS_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class _Place:
    """One table: the columns that a line has, how some are turned, what is added to every row.

    `later` are columns that refer to the table itself, perhaps forward: they are filled when all rows are in.
    """

    table: Table
    names: frozenset[str]
    turned: Mapping[str, Callable[[Any], Any]]
    added: Mapping[str, Any]
    later: tuple[str, ...]


def reflected(connection: Connection) -> MetaData:
    """The tables that are there, with the columns that they have."""
    found = MetaData()
    found.reflect(connection)
    return found


def write_rows(connection: Connection, lines: Iterable[Line], now: datetime) -> None:
    """Write every row; people come in disabled as of `now`. Unreadable names a line that has no place."""
    tables = reflected(connection).tables
    for name, some in groupby(lines, key=lambda line: line[1].get("table")):
        if name in tables:
            _write(connection, _place(tables[name], now), some)
        else:
            raise Unreadable(f"Line {next(some)[0]:,} is of a table {name!r}, which is not known here.")


def _place(table: Table, now: datetime) -> _Place:
    for column in table.columns:
        if isinstance(column.type, JSON):
            column.type.none_as_null = bool(column.nullable)
    names = frozenset(left_out.kept_columns(table.name, list(table.columns.keys())))
    turned = {column.name: turn for column in table.columns if (turn := from_json(column.type))}
    absent: dict[str, dict[str, Any]] = {"shop": {"is_demo": False}, "shop_user": {"disabled_at": now}}
    later = tuple(key.parent.name for key in table.foreign_keys if key.column.table is table)
    return _Place(table, names, turned, absent.get(table.name, {}), later)


def _write(connection: Connection, place: _Place, lines: Iterable[Line]) -> None:
    rows = (_row(place, *line) for line in lines)
    put_off: list[dict[str, Any]] = []
    at_once = rows_at_once(place.table, _ROWS_AT_ONCE)
    while some := list(islice(rows, at_once)):
        put_off += [
            {f"its_{key}": row[key] for key in ("id", *place.later)} for row in some if _refers(place, row)
        ]
        connection.execute(insert(place.table), [row | dict.fromkeys(place.later) for row in some])
    if put_off:
        change = update(place.table).where(place.table.c.id == bindparam("its_id"))
        connection.execute(change.values({key: bindparam(f"its_{key}") for key in place.later}), put_off)


def _refers(place: _Place, row: Mapping[str, Any]) -> bool:
    return any(row[key] is not None for key in place.later)


def _row(place: _Place, number: int, line: Mapping[str, Any]) -> dict[str, Any]:
    row: dict[str, Any] = line.get("row") or {}
    if row.keys() != place.names:
        odd = ", ".join(sorted(row.keys() ^ place.names))
        raise Unreadable(f"Line {number:,} does not have the columns of {place.table.name}: look at {odd}.")
    for name, turn in place.turned.items():
        if row.get(name) is not None:
            row[name] = turn(row[name])
    return {**row, **place.added}
