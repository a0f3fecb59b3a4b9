"""What a process asks first: is there a shop in this database?"""

from __future__ import annotations

from sqlalchemy import select
from sqlmodel import Session, col

from kb.records.tables import Shop


def the_shop(session: Session) -> Shop | None:
    """The shop of this database, or None in a new one."""
    return session.execute(select(Shop).order_by(col(Shop.id))).scalars().first()
