"""What people enter, change and take out of use one by one: how its row is found, saved and noted down."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from kb.desk.context import Desk
from kb.errors import Conflict, NotFound
from kb.records.store import rows
from kb.records.tables.columns import OfShop

Row = TypeVar("Row", bound=OfShop)


def row_of(desk: Desk, table: type[Row], row_id: int, missing: str) -> Row:
    """The shop's row with this id; without one, also for one of another shop, NotFound with that sentence."""
    row = rows.row_of_shop(desk.session, table, desk.shop.id, row_id)
    if row is None:
        raise NotFound(missing)
    return row


def refuse_stale(row: Any, version: int, sentence: str, /, **details: Any) -> None:
    """Raise Conflict with that sentence where somebody saved since `version` was read."""
    if row.version != version:
        raise Conflict(sentence, details={**details, "version": row.version})


def changed(row: Row, columns: Mapping[str, Any]) -> Row:
    """The row with these columns, one version on."""
    for name, value in columns.items():
        setattr(row, name, value)
    row.version += 1  # type: ignore[attr-defined]  # tables that people change have one
    return row


def saved(desk: Desk, row: Row, did: str, noun: str, /, *topics: str, **detail: Any) -> Row:
    """Write the row and a line of the trail, and count up the topics that rest on it."""
    rows.save(desk.session, row)
    desk.note_down(did, noun, row.id, **detail)
    for topic in topics:
        desk.bump(topic)
    return row
