"""Concerns with all that hangs on them, once more in the database itself: millions in minutes.

Texts say the same again, so that the words of a made shop are fewer than those of a real one of its size.
"""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import Connection, Table, func, select, text
from sqlmodel import SQLModel

from kb.records.engine import open_engine
from kb.records.tables import ConcernRow, Outcome, ProgrammingEvent, Reflash, RepairOrder, VehicleRow

COPIED: tuple[type[SQLModel], ...] = (VehicleRow, RepairOrder, ConcernRow, ProgrammingEvent, Reflash, Outcome)


def copy_concerns(url: str, times: int) -> None:
    """Each concern, its vehicle, repair order, sitting, reflashes and outcomes, so many times more."""
    tables = [SQLModel.metadata.tables[str(one.__tablename__)] for one in COPIED]
    engine = open_engine(url)
    with engine.begin() as connection:
        further = {one.name: _highest(connection, one) for one in tables}
        for table in tables:
            connection.execute(text(_statement(table, further)), {"times": times})
            counter = func.pg_get_serial_sequence(table.name, "id")
            connection.execute(select(func.setval(counter, _highest(connection, table))))
    engine.dispose()


def _highest(connection: Connection, table: Table) -> int:
    return int(connection.execute(select(func.max(table.c.id))).scalar_one())


def _statement(table: Table, further: Mapping[str, int]) -> str:
    """A copy's ids, and those that it points to in other copied tables, lie a whole table further."""
    values = {}
    for column in table.columns:
        value = f'one."{column.name}"'
        to = next((key.column.table.name for key in column.foreign_keys), "")
        moved = table.name if column.name == "id" else to
        if moved in further:
            value += f" + copy * {further[moved]}"
        elif (table.name, column.name) == (RepairOrder.__tablename__, "number"):
            value += " || '-' || copy"
        values[f'"{column.name}"'] = value
    wanted, source = ", ".join(values.values()), f"{table.name} AS one, generate_series(1, :times) AS copy"
    rows = f"SELECT {wanted} FROM {source}"  # noqa: S608  # names of our own tables
    return f"INSERT INTO {table.name} ({', '.join(values)}) {rows}"
