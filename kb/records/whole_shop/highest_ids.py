"""The highest id that each table ever gave, so that none is given again where the shop goes on."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import Connection, text

from kb.records.whole_shop.rows_out import every_table


def highest_ids(connection: Connection) -> dict[str, int]:
    """By table, in their order, also of rows that are gone; a table that gave none is left out."""
    if connection.dialect.name == "sqlite":
        rows = connection.execute(text("SELECT name, seq FROM sqlite_sequence"))
        given = {row.name: row.seq for row in rows}
    else:
        sequences = _sequences(connection).items()
        given = {name: _last_value(connection, sequence) for name, sequence in sequences}
    ours = sorted(table.name for table in every_table())
    return {name: given[name] for name in ours if given.get(name)}


def go_on_after(connection: Connection, highest: Mapping[str, int]) -> None:
    """Let every table give ids above these, and above those of its rows."""
    for table, least in highest.items():
        if connection.dialect.name == "sqlite":
            _after_on_sqlite(connection, table, least)
    if connection.dialect.name == "postgresql":
        for table, sequence in _sequences(connection).items():
            last = connection.execute(text(f'SELECT max(id) FROM "{table}"')).scalar()  # noqa: S608  # ours
            least = max(last or 0, highest.get(table, 0), _last_value(connection, sequence))
            if least:
                connection.execute(text("SELECT setval(:one, :last)"), {"one": sequence, "last": least})


def _after_on_sqlite(connection: Connection, table: str, least: int) -> None:
    """A row that came with an id has moved its table's number already, but one that is gone has not."""
    values = {"name": table, "least": least}
    moved = text("UPDATE sqlite_sequence SET seq = max(seq, :least) WHERE name = :name")
    if not connection.execute(moved, values).rowcount:
        connection.execute(text("INSERT INTO sqlite_sequence (name, seq) VALUES (:name, :least)"), values)


def _sequences(connection: Connection) -> dict[str, str]:
    """The sequence of each table that is there and has one."""
    rows = connection.execute(
        text(
            "SELECT relname, pg_get_serial_sequence(quote_ident(relname), 'id') FROM pg_class "
            "JOIN pg_attribute ON attrelid = pg_class.oid AND attname = 'id' "
            "WHERE relkind = 'r' AND relnamespace = current_schema()::regnamespace"
        )
    )
    ours = {table.name for table in every_table()}
    return {name: sequence for name, sequence in rows if sequence and name in ours}


def _last_value(connection: Connection, sequence: str) -> int:
    last, called = connection.execute(text(f"SELECT last_value, is_called FROM {sequence}")).one()  # noqa: S608
    return int(last) if called else 0
