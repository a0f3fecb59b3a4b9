"""Users, and the code that lets the first one in. Only hashes of secrets come here."""

from __future__ import annotations

from sqlalchemy import func, select, update
from sqlmodel import Session, col

from kb.records.store.rows import rows_where
from kb.records.tables import Shop, User


def users(session: Session, shop_id: int) -> list[User]:
    return rows_where(session, User, col(User.shop_id) == shop_id, by=(col(User.name),))


def user_named(session: Session, shop_id: int, name: str) -> User | None:
    return session.execute(
        select(User).where(col(User.shop_id) == shop_id, col(User.name) == name)
    ).scalar_one_or_none()


def user_with_id(session: Session, user_id: int) -> User | None:
    return session.get(User, user_id)


def count_with_password(session: Session, shop_id: int) -> int:
    theirs = (col(User.shop_id) == shop_id, col(User.password_hash).is_not(None))
    return int(session.execute(select(func.count()).select_from(User).where(*theirs)).scalar_one())


def somebody_has_pin(session: Session, shop_id: int) -> bool:
    """Whether any person who may come in has a PIN."""
    asked = (col(User.shop_id) == shop_id, col(User.pin_hash).is_not(None), col(User.disabled_at).is_(None))
    return session.execute(select(col(User.id)).where(*asked).limit(1)).first() is not None


def set_up_code_hash(session: Session, shop_id: int) -> str | None:
    return session.execute(
        select(col(Shop.set_up_code_hash)).where(col(Shop.id) == shop_id)
    ).scalar_one_or_none()


def keep_set_up_code(session: Session, shop_id: int, code_hash: str | None) -> None:
    session.execute(update(Shop).where(col(Shop.id) == shop_id).values(set_up_code_hash=code_hash))
