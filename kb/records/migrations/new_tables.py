"""How a migration says a new table: columns of one kind beside each other, and what they refer to.

A column may not be empty unless it is said to (`maybe`). Give them in the order that the table has them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import sqlalchemy as sa
from alembic import op

Columns = list["sa.Column[Any]"]


def texts(*names: str, maybe: bool = False) -> Columns:
    return _columns(names, sa.String(), maybe)


def numbers(*names: str, maybe: bool = False) -> Columns:
    """Whole numbers."""
    return _columns(names, sa.Integer(), maybe)


def decimals(*names: str) -> Columns:
    return _columns(names, sa.Float(), False)


def flags(*names: str, maybe: bool = False) -> Columns:
    return _columns(names, sa.Boolean(), maybe)


def days(*names: str, maybe: bool = False) -> Columns:
    return _columns(names, sa.Date(), maybe)


def moments(*names: str, maybe: bool = False) -> Columns:
    return _columns(names, sa.DateTime(timezone=True), maybe)


def trees(*names: str, maybe: bool = False) -> Columns:
    """JSON."""
    return _columns(names, sa.JSON(), maybe)


def files(*names: str) -> Columns:
    """Bytes."""
    return _columns(names, sa.LargeBinary(), False)


def refers(name: str, table: str, *, maybe: bool = False, indexed: bool = True) -> Columns:
    """The id of a row of another table."""
    return [sa.Column(name, sa.Integer(), sa.ForeignKey(f"{table}.id"), nullable=maybe, index=indexed)]


def of_shop() -> Columns:
    """The shop that a row belongs to."""
    return refers("shop_id", "shop")


def indexed(columns: Columns) -> Columns:
    """The same, each looked up by itself."""
    for one in columns:
        one.index = True
    return columns


def new_table(
    name: str,
    *columns: Columns,
    key: Sequence[str] = (),
    unique: Sequence[str] = (),
    indexes: Mapping[str, Sequence[str]] | None = None,
) -> None:
    """Make a table. Without a `key` of its own columns its rows have an `id` that is never used again."""
    own = [] if key else [sa.Column("id", sa.Integer(), nullable=False)]
    rules: list[sa.Constraint] = [sa.PrimaryKeyConstraint(*(key or ("id",)))]
    rules += [sa.UniqueConstraint(*unique)] if unique else []
    every = [*own, *(column for some in columns for column in some)]
    op.create_table(name, *every, *rules, sqlite_autoincrement=not key)
    for index, over in (indexes or {}).items():
        op.create_index(index, name, list(over))


def _columns(names: Sequence[str], kind: Any, maybe: bool) -> Columns:
    return [sa.Column(name, kind, nullable=maybe) for name in names]
