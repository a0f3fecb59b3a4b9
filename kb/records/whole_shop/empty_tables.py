"""Tables made anew for a shop that comes in: only where nobody has entered anything yet."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import Connection, func, insert, inspect, select, text, update
from sqlmodel import col

from kb.records.migrate import upgrade
from kb.records.store.shop.shop import TOPICS
from kb.records.tables import Revision, Shop
from kb.records.whole_shop.rows_in import reflected

_OF_A_NEW_SHOP = frozenset({"alembic_version", "shop", "revision", "diagnostic_check"})
"""What a shop has from its first moment. Whoever changes any of it leaves a line in the trail."""


def rows_entered(connection: Connection) -> Mapping[str, int]:
    """The number of rows of each table in which somebody entered something."""
    tables = [one for one in reflected(connection).sorted_tables if one.name not in _OF_A_NEW_SHOP]
    counts = {
        one.name: connection.execute(select(func.count()).select_from(one)).scalar_one() for one in tables
    }
    return {name: count for name, count in counts.items() if count}


def counted_so_far(connection: Connection) -> int:
    """The highest number of any counter of the shop that is there; 0 without one."""
    if not inspect(connection).has_table("revision"):
        return 0
    return connection.execute(select(func.max(col(Revision.number)))).scalar() or 0


def make_anew(connection: Connection, schema: str) -> None:
    """Take every table away and make those of `schema`, in the transaction of the connection."""
    reflected(connection).drop_all(connection)
    if connection.dialect.name == "postgresql":
        connection.execute(text("DROP FUNCTION IF EXISTS trail_keeps()"))
    upgrade(connection, schema)


def count_on_from(connection: Connection, before: int) -> None:
    """Give the shop its counters, all above `before` and above every number that a row carries."""
    carried = [
        connection.execute(select(func.max(table.c.changed_revision))).scalar() or 0
        for table in reflected(connection).sorted_tables
        if "changed_revision" in table.c
    ]
    shop_id = connection.execute(select(col(Shop.id))).scalar_one()
    there = set(connection.execute(select(col(Revision.topic))).scalars())
    missing = [{"shop_id": shop_id, "topic": topic, "number": 0} for topic in TOPICS if topic not in there]
    if missing:
        connection.execute(insert(Revision), missing)
    connection.execute(update(Revision).values(number=max([before, *carried]) + 1))
