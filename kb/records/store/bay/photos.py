"""Photos on file. Bytes are read one photo at a time, never with a list."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from sqlalchemy import ColumnElement, delete, func, select, update
from sqlmodel import Session, col

from kb.nouns.bay.photos import Photo, Shows
from kb.records.store.rows import columns
from kb.records.tables import PhotoRow

_TOLD = tuple(Photo.__dataclass_fields__)
_COLUMNS = columns(PhotoRow, _TOLD)


def photos_where(session: Session, shop_id: int, *conditions: ColumnElement[bool]) -> tuple[Photo, ...]:
    """In the order in which they were kept."""
    query = select(*_COLUMNS).where(col(PhotoRow.shop_id) == shop_id, *conditions).order_by(col(PhotoRow.id))
    return tuple(_photo(*row) for row in session.execute(query))


def photo(session: Session, shop_id: int, photo_id: int) -> Photo | None:
    return next(iter(photos_where(session, shop_id, col(PhotoRow.id) == photo_id)), None)


def of_concern(session: Session, shop_id: int, concern_id: int) -> tuple[Photo, ...]:
    return photos_where(session, shop_id, col(PhotoRow.concern_id) == concern_id)


def waiting_of(session: Session, shop_id: int, person: str, ids: Iterable[int]) -> tuple[Photo, ...]:
    """Those of these that a person sent and that no concern has."""
    mine = (col(PhotoRow.kept_by) == person, col(PhotoRow.concern_id).is_(None))
    return photos_where(session, shop_id, *mine, col(PhotoRow.id).in_(list(ids)))


def sent_before(
    session: Session, shop_id: int, concern_id: int | None, person: str, sent_sha256: str
) -> Photo | None:
    """The same photo, of the same concern; of none, where this person sent it."""
    same = [
        col(PhotoRow.sent_sha256) == sent_sha256,
        col(PhotoRow.concern_id).is_not_distinct_from(concern_id),
    ]
    if concern_id is None:
        same.append(col(PhotoRow.kept_by) == person)
    return next(iter(photos_where(session, shop_id, *same)), None)


def count_of(session: Session, concern_id: int) -> int:
    query = select(func.count()).select_from(PhotoRow).where(col(PhotoRow.concern_id) == concern_id)
    return int(session.execute(query).scalar_one())


def bytes_of(session: Session, shop_id: int, photo_id: int, *, small: bool) -> bytes | None:
    wanted = col(PhotoRow.small if small else PhotoRow.content)
    query = select(wanted).where(col(PhotoRow.id) == photo_id, col(PhotoRow.shop_id) == shop_id)
    return session.execute(query).scalar_one_or_none()


def put(session: Session, photo_ids: Iterable[int], **columns: int | str | bool) -> None:
    """Change what is said of photos, such as the concern that they are of; their bytes stay unread."""
    session.execute(update(PhotoRow).where(col(PhotoRow.id).in_(list(photo_ids))).values(columns))


def forget(session: Session, *conditions: ColumnElement[bool]) -> None:
    session.execute(delete(PhotoRow).where(*conditions))


def forget_one(session: Session, photo_id: int) -> None:
    forget(session, col(PhotoRow.id) == photo_id)


def forget_waiting(session: Session, shop_id: int, before: datetime) -> None:
    """Photos that were read for concerns which nobody opened."""
    mine = (col(PhotoRow.shop_id) == shop_id, col(PhotoRow.concern_id).is_(None))
    forget(session, *mine, col(PhotoRow.kept_at) < before)


def forget_but_newest(session: Session, shop_id: int, person: str, count: int) -> None:
    """Of the photos that a person sent and that no concern has, all but the newest."""
    mine = (
        col(PhotoRow.shop_id) == shop_id,
        col(PhotoRow.kept_by) == person,
        col(PhotoRow.concern_id).is_(None),
    )
    newest = select(col(PhotoRow.id)).where(*mine).order_by(col(PhotoRow.id).desc()).limit(count)
    forget(session, *mine, col(PhotoRow.id).not_in(session.execute(newest).scalars().all()))


def _photo(photo_id: int, concern_id: int | None, event_id: int | None, shows: str, *more: object) -> Photo:
    return Photo(photo_id, concern_id, event_id, Shows(shows), *more)  # type: ignore[arg-type]
