"""Open sessions, tokens, and the devices that several people share. Only hashes of secrets come here."""

from __future__ import annotations

from datetime import datetime
from typing import cast

from sqlalchemy import CursorResult, delete, select, update
from sqlmodel import Session, col

from kb.records.store.rows import row_of_shop, rows_where, save
from kb.records.tables import ApiToken, SharedDevice, SharedPlace, SignIn, User


def session_by_cookie(session: Session, cookie_hash: str) -> tuple[SignIn, User, SharedDevice | None] | None:
    """The session, whose it is, and the shared device that it is open on."""
    found = (
        select(SignIn, User, SharedDevice)
        .join(User, col(User.id) == col(SignIn.user_id))
        .outerjoin(SharedDevice, col(SharedDevice.id) == col(SignIn.shared_device_id))
    )
    row = session.execute(found.where(col(SignIn.cookie_hash) == cookie_hash)).one_or_none()
    return None if row is None else (row[0], row[1], row[2])


def session_with_id(session: Session, shop_id: int, row_id: int) -> SignIn | None:
    return row_of_shop(session, SignIn, shop_id, row_id)


def sessions_of(session: Session, user_id: int) -> list[SignIn]:
    """Newest first."""
    return rows_where(session, SignIn, col(SignIn.user_id) == user_id, by=(col(SignIn.id).desc(),))


def end_session(session: Session, cookie_hash: str) -> None:
    session.execute(delete(SignIn).where(col(SignIn.cookie_hash) == cookie_hash))


def end_sessions_of(session: Session, user_id: int, *, but: int | None = None) -> int:
    """End a person's sessions, `but` this one; gives how many."""
    theirs = [col(SignIn.user_id) == user_id, *([col(SignIn.id) != but] if but is not None else [])]
    ended = session.execute(delete(SignIn).where(*theirs))
    return cast("CursorResult[tuple[()]]", ended).rowcount


def end_sessions_by(session: Session, user_id: int, door: str) -> None:
    """End those that a person came in by that door to."""
    session.execute(delete(SignIn).where(col(SignIn.user_id) == user_id, col(SignIn.door) == door))


def end_sessions_on(session: Session, device_id: int) -> None:
    session.execute(delete(SignIn).where(col(SignIn.shared_device_id) == device_id))


def end_old_sessions(session: Session, user_id: int, now: datetime) -> None:
    """Drop what is over of a person's."""
    session.execute(delete(SignIn).where(col(SignIn.user_id) == user_id, col(SignIn.ends_at) <= now))


def token_by_hash(session: Session, token_hash: str) -> tuple[ApiToken, User] | None:
    """The token, and whose it is."""
    found = select(ApiToken, User).join(User, col(User.id) == col(ApiToken.user_id))
    row = session.execute(found.where(col(ApiToken.token_hash) == token_hash)).one_or_none()
    return None if row is None else (row[0], row[1])


def tokens_of(session: Session, user_id: int) -> list[ApiToken]:
    """Those not ended by hand, newest first."""
    theirs = (col(ApiToken.user_id) == user_id, col(ApiToken.revoked_at).is_(None))
    return rows_where(session, ApiToken, *theirs, by=(col(ApiToken.id).desc(),))


def end_tokens_of(session: Session, user_id: int, now: datetime) -> int:
    """End a person's tokens; gives how many were in use."""
    ended = session.execute(
        update(ApiToken)
        .where(col(ApiToken.user_id) == user_id, col(ApiToken.revoked_at).is_(None))
        .values(revoked_at=now)
    )
    return cast("CursorResult[tuple[()]]", ended).rowcount


def device_by_key(session: Session, shop_id: int, key_hash: str) -> SharedDevice | None:
    """The shared device, unless it is shared no more."""
    asked = (col(SharedDevice.shop_id) == shop_id, col(SharedDevice.key_hash) == key_hash)
    return session.execute(
        select(SharedDevice).where(*asked, col(SharedDevice.ended_at).is_(None))
    ).scalar_one_or_none()


def devices(session: Session, shop_id: int) -> list[SharedDevice]:
    """Those shared now, by name."""
    asked = (col(SharedDevice.shop_id) == shop_id, col(SharedDevice.ended_at).is_(None))
    return rows_where(session, SharedDevice, *asked, by=(col(SharedDevice.name), col(SharedDevice.id)))


def place_of(session: Session, device_id: int, user_id: int) -> SharedPlace | None:
    asked = (col(SharedPlace.device_id) == device_id, col(SharedPlace.user_id) == user_id)
    return session.execute(select(SharedPlace).where(*asked)).scalar_one_or_none()


def keep_place(session: Session, place: SharedPlace) -> None:
    """The page that somebody left the device on, instead of the one before."""
    there = place_of(session, place.device_id, place.user_id) or place
    there.path, there.title, there.at = place.path, place.title, place.at
    save(session, there)
