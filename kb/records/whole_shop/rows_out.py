"""Every row of the shop, table by table, for taking it out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from sqlalchemy import Column, Table, collate, select
from sqlmodel import Session, SQLModel

import kb.records.tables  # noqa: F401  # registers every table with the metadata
from kb.records.whole_shop import left_out
from kb.records.whole_shop.cells import rows_at_once, to_json, value_type

_ROWS_AT_ONCE = 2000


def every_table() -> Sequence[Table]:
    """In an order in which every reference to another table points backward."""
    return SQLModel.metadata.sorted_tables


def every_row(session: Session) -> Iterator[tuple[str, dict[str, Any]]]:
    """(table, row by column as JSON has it), whole tables at a time and some rows at once; no secrets.

    Rows stand in the order of their keys, texts by their bytes, so that every database has the same.
    """
    for table in every_table():
        if table.name not in left_out.TABLES:
            yield from ((table.name, row) for row in _rows(session, table))


def _rows(session: Session, table: Table) -> Iterator[dict[str, Any]]:
    names = left_out.kept_columns(table.name, list(table.columns.keys()))
    turned = [(at, turn) for at, name in enumerate(names) if (turn := to_json(table.columns[name].type))]
    order = [_by_bytes(session, column) for column in table.primary_key.columns]
    wanted = select(*(table.columns[name] for name in names)).order_by(*order)
    at_once = rows_at_once(table, _ROWS_AT_ONCE)
    for row in session.execute(wanted.execution_options(yield_per=at_once)):
        values = list(row)
        for at, turn in turned:
            if values[at] is not None:
                values[at] = turn(values[at])
        yield dict(zip(names, values, strict=True))


def _by_bytes(session: Session, column: Column[Any]) -> Any:
    """SQLite compares texts by their bytes; PostgreSQL only where it is told to."""
    on_postgresql = session.get_bind().dialect.name == "postgresql"
    return collate(column, "C") if on_postgresql and value_type(column.type) is str else column
