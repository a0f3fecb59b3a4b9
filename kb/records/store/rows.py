"""Rows of whatever table, in the ways that every store asks for them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, TypeVar

from sqlalchemy import ColumnElement, SQLColumnExpression, func, select
from sqlmodel import Session, SQLModel

from kb.nouns.vehicles import fold_id
from kb.records.tables.columns import OfShop

SIGNS_IN_NUMBERS = "- ./_\u2010\u2011\u2012\u2013\u2014\u2212"
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


def folded(written: SQLColumnExpression[str]) -> ColumnElement[str]:
    """A column of printed numbers in the capitals, without its usual signs, for looking for a part
    in it: what kb.nouns.vehicles.fold_id does, as far as every database can.
    """
    plain: ColumnElement[str] = func.upper(written)
    for sign in SIGNS_IN_NUMBERS:
        plain = func.replace(plain, sign, "")
    return plain


def folded_part(part: str) -> str:
    """A part to look for in what `folded` gives."""
    return "".join(one for one in fold_id(part) if one not in SIGNS_IN_NUMBERS)


def columns(table: type[SQLModel], names: Iterable[str]) -> list[Any]:
    """The columns of these names, for a statement that reads no whole rows."""
    return [getattr(table, name) for name in names]


def save(session: Session, row: Row) -> Row:
    """Write a row, new or changed; a new one has its id after it."""
    session.add(row)
    session.flush()
    return row
