"""Rows of every table that an export holds, drawn at random from what the tables say of their columns.

They make no sense together; they only keep what the database asks for (references, no text twice where it
must be unique). A table that is added later is filled like the others without a word here.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

from hypothesis import strategies as st
from sqlalchemy import Column, Connection, Table, func, insert, select

from kb.records.whole_shop import left_out
from kb.records.whole_shop.cells import value_type
from kb.records.whole_shop.rows_out import every_table

_TEXTS = st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"]), max_size=8)
_WHOLE = st.integers(-(10**9), 10**9)
_DECIMAL = st.floats(-1e12, 1e12).map(lambda number: number + 0.0)  # SQLite keeps no sign of a zero
_TREES = st.recursive(
    st.none() | st.booleans() | _WHOLE | _DECIMAL | _TEXTS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_TEXTS, inner, max_size=3),
    max_leaves=4,
)
_FROM = datetime(1970, 1, 1, tzinfo=UTC)
_VALUES: dict[type, st.SearchStrategy[Any]] = {
    str: _TEXTS,
    int: _WHOLE,
    float: _DECIMAL,
    bool: st.booleans(),
    bytes: st.binary(max_size=8),
    date: st.dates(),
    datetime: st.integers(-(10**15), 4 * 10**15).map(lambda at: _FROM + timedelta(microseconds=at)),
    object: _TREES,
}


def fill(connection: Connection, draw: Any) -> None:
    """Put two rows into every table but the shop's own, with holes between their ids."""
    for table in every_table():
        if table.name not in (*left_out.TABLES, "shop"):
            for number in range(2):
                row = {column.name: _value(connection, draw, column, number) for column in table.columns}
                if "id" in table.columns:
                    row["id"] = (_highest(connection, table) or 0) + draw(st.integers(1, 3))
                connection.execute(insert(table), row)


def _value(connection: Connection, draw: Any, column: Column[Any], number: int) -> Any:
    if column.foreign_keys:
        [key] = column.foreign_keys
        there = list(connection.execute(select(key.column).order_by(key.column)).scalars())
        must = not column.nullable or column.primary_key
        value = there[-1 - number % len(there)] if must else draw(st.sampled_from([None, *there]))
    else:
        value = draw(st.none() | _VALUES[value_type(column.type)] if column.nullable else _of(column))
    if value_type(column.type) is str and isinstance(value, str):
        return value + "x" * number if len(value) == 8 else f"{value}{number}"
    return value


def _of(column: Column[Any]) -> st.SearchStrategy[Any]:
    return _VALUES[value_type(column.type)]


def _highest(connection: Connection, table: Table) -> int | None:
    found: int | None = connection.execute(select(func.max(table.c.id))).scalar()
    return found
