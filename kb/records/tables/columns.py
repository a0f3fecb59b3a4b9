"""Column kinds that every table shares."""

# No future annotations in this folder: SQLModel reads the annotations at run time.

from datetime import UTC, datetime
from typing import Any, ClassVar

from sqlalchemy import DateTime
from sqlalchemy.engine import Dialect
from sqlalchemy.types import TypeDecorator
from sqlmodel import Field, SQLModel


class UtcInstant(TypeDecorator[datetime]):
    """An instant, always UTC and always aware; SQLite keeps no zone, so it is put back on reading."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("an instant without a zone cannot be stored")
        return value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


# Ids are never reused, so that an old link never opens somebody else's row.
NEVER_REUSE_IDS = {"sqlite_autoincrement": True}


def instant(**more: Any) -> Any:
    return Field(sa_type=UtcInstant, **more)


def maybe_instant(**more: Any) -> Any:
    return Field(default=None, sa_type=UtcInstant, **more)


class Numbered(SQLModel):
    """A row with an id of its own."""

    __table_args__: ClassVar[Any] = NEVER_REUSE_IDS
    id: int | None = Field(default=None, primary_key=True)


class OfShop(Numbered):
    """A row with an id of its own that says which shop it belongs to."""

    shop_id: int = Field(foreign_key="shop.id", index=True)
