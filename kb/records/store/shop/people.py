"""Users, browser sessions and API tokens. Only hashes of secrets come here."""

from __future__ import annotations

from datetime import datetime
from typing import cast

from sqlalchemy import CursorResult, delete, func, select, update
from sqlmodel import Session, col

from kb.records.store.rows import rows_where
from kb.records.tables import ApiToken, Shop, SignIn, User


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


def sign_in_by_cookie(session: Session, cookie_hash: str) -> tuple[SignIn, User] | None:
    """The sign-in, and whose it is."""
    found = select(SignIn, User).join(User, col(User.id) == col(SignIn.user_id))
    row = session.execute(found.where(col(SignIn.cookie_hash) == cookie_hash)).one_or_none()
    return None if row is None else (row[0], row[1])


def end_sign_in(session: Session, cookie_hash: str) -> None:
    session.execute(delete(SignIn).where(col(SignIn.cookie_hash) == cookie_hash))


def end_sign_ins_of(session: Session, user_id: int) -> None:
    session.execute(delete(SignIn).where(col(SignIn.user_id) == user_id))


def token_by_hash(session: Session, token_hash: str) -> ApiToken | None:
    return session.execute(
        select(ApiToken).where(col(ApiToken.token_hash) == token_hash)
    ).scalar_one_or_none()


def revoke_tokens(session: Session, user_id: int, now: datetime) -> int:
    """End a person's tokens; gives how many were in use."""
    ended = session.execute(
        update(ApiToken)
        .where(col(ApiToken.user_id) == user_id, col(ApiToken.revoked_at).is_(None))
        .values(revoked_at=now)
    )
    return cast("CursorResult[tuple[()]]", ended).rowcount


def set_up_code_hash(session: Session, shop_id: int) -> str | None:
    return session.execute(
        select(col(Shop.set_up_code_hash)).where(col(Shop.id) == shop_id)
    ).scalar_one_or_none()


def keep_set_up_code(session: Session, shop_id: int, code_hash: str | None) -> None:
    session.execute(update(Shop).where(col(Shop.id) == shop_id).values(set_up_code_hash=code_hash))
