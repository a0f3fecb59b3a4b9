"""Rows of wrong tries in a row, and the key by which they and the devices are known."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from sqlalchemy import delete, func, select, update
from sqlmodel import Session, col

from kb.records.store.rows import rows_where
from kb.records.tables import Shop, Trail, WrongTries


def of(session: Session, shop_id: int, whose: Collection[str]) -> dict[str, WrongTries]:
    """The rows that there are, by whose they are."""
    theirs = (col(WrongTries.shop_id) == shop_id, col(WrongTries.whose).in_(whose))
    return {row.whose: row for row in rows_where(session, WrongTries, *theirs)}


def forget(session: Session, shop_id: int, whose: Collection[str]) -> None:
    session.execute(
        delete(WrongTries).where(col(WrongTries.shop_id) == shop_id, col(WrongTries.whose).in_(whose))
    )


def forget_older(session: Session, shop_id: int, than: datetime) -> None:
    session.execute(
        delete(WrongTries).where(col(WrongTries.shop_id) == shop_id, col(WrongTries.last_at) < than)
    )


def counted_since(
    session: Session, shop_id: int, actions: Collection[str], since: datetime
) -> dict[int, int]:
    """How many lines of the trail have one of these actions since then, by the account that it is about."""
    theirs = (col(Trail.shop_id) == shop_id, col(Trail.at) >= since, col(Trail.action).in_(actions))
    rows = session.execute(
        select(col(Trail.noun_id), func.count())
        .where(*theirs, col(Trail.noun_id).is_not(None))
        .group_by(col(Trail.noun_id))
    )
    return {int(user_id): int(count) for user_id, count in rows}


def last_of(session: Session, shop_id: int, action: str, user_id: int) -> datetime | None:
    """When the trail last has this of the account."""
    theirs = (col(Trail.noun) == "user", col(Trail.noun_id) == user_id, col(Trail.action) == action)
    newest = select(func.max(col(Trail.at))).where(col(Trail.shop_id) == shop_id, *theirs)
    return session.execute(newest).scalar_one_or_none()


def device_key(session: Session, shop_id: int) -> str | None:
    """None before anybody tried to sign in."""
    return session.execute(select(col(Shop.device_key)).where(col(Shop.id) == shop_id)).scalar_one_or_none()


def keep_device_key(session: Session, shop_id: int, key: str) -> None:
    session.execute(update(Shop).where(col(Shop.id) == shop_id).values(device_key=key))
