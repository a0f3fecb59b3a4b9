"""Rows of whatever table, in the ways that every store asks for them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, TypeVar

from sqlalchemy import ColumnElement, select
from sqlmodel import Session, SQLModel

from kb.records.tables.columns import OfShop

Row = TypeVar("Row", bound=SQLModel)
ShopRow = TypeVar("ShopRow", bound=OfShop)


def row_of_shop(session: Session, table: type[ShopRow], shop_id: int, row_id: int) -> ShopRow | None:
    """The row with this id, unless it is of another shop."""
    row = session.get(table, row_id)
    return row if row is not None and row.shop_id == shop_id else None


def rows_where(
    session: Session, table: type[Row], *conditions: ColumnElement[bool], by: tuple[Any, ...] = ()
) -> list[Row]:
    """The rows that meet every condition, in the order of the columns `by`."""
    return list(session.execute(select(table).where(*conditions).order_by(*by)).scalars())


def columns(table: type[SQLModel], names: Iterable[str]) -> list[Any]:
    """The columns of these names, for a statement that reads no whole rows."""
    return [getattr(table, name) for name in names]


def save(session: Session, row: Row) -> Row:
    """Write a row, new or changed; a new one has its id after it."""
    session.add(row)
    session.flush()
    return row
