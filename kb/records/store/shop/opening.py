"""What a process asks first: is there a shop in this database?"""

from __future__ import annotations

from sqlalchemy import select
from sqlmodel import Session, col

from kb.records.tables import Shop


def the_shop(session: Session) -> Shop | None:
    """The shop of this database, or None in a new one."""
    return session.execute(select(Shop).order_by(col(Shop.id))).scalars().first()


def any_shop(session: Session) -> bool:
    """As `the_shop`, also in tables of another version, whose other columns this program may not know."""
    return session.execute(select(col(Shop.id)).limit(1)).first() is not None
