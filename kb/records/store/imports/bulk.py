"""Rows by the thousand, straight through SQLAlchemy's Core: rows as dicts, no objects made of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from sqlalchemy import Table, delete, insert
from sqlmodel import Session, SQLModel

IN_ONE_STATEMENT = 900
"""Databases take a limited number of values in one statement."""

Rows = Sequence[dict[str, Any]]


def table_of(model: type[SQLModel]) -> Table:
    """The table behind a row class."""
    table: Table = model.__table__  # type: ignore[attr-defined]  # SQLModel adds it at run time
    return table


def insert_rows(session: Session, model: type[SQLModel], rows: Rows) -> list[int]:
    """New rows; their ids in the order given. Every row names the same columns."""
    if not rows:
        return []
    table = table_of(model)
    session.flush()
    made = session.connection().execute(
        insert(table).returning(table.c.id, sort_by_parameter_order=True), list(rows)
    )
    return [int(row[0]) for row in made]


def add_rows(session: Session, model: type[SQLModel], rows: Rows) -> None:
    """New rows whose ids nobody asks for."""
    if rows:
        session.flush()
        session.connection().execute(insert(table_of(model)), list(rows))


def delete_where(session: Session, model: type[SQLModel], column: str, values: Iterable[int]) -> None:
    """Rows whose column holds one of these values go."""
    table = table_of(model)
    for some in runs(sorted(set(values))):
        session.execute(delete(table).where(table.c[column].in_(some)))


def runs(values: Iterable[Any], size: int = IN_ONE_STATEMENT) -> Iterator[list[Any]]:
    """The values in lists of at most `size`."""
    every = list(values)
    return (every[start : start + size] for start in range(0, len(every), size))
