"""Files that wait to be brought in, packed: a database takes three times the memory of what it is handed."""

from __future__ import annotations

import zlib
from collections.abc import Iterable
from datetime import datetime

from sqlalchemy import delete, select
from sqlmodel import Session, col

from kb.records.tables import WaitingFile

_PACKED = b"packed by zlib:"


def packed(data: bytes) -> bytes:
    """A file as it is kept."""
    return _PACKED + zlib.compress(data, 1)


def unpacked(kept: bytes) -> bytes:
    """The file again; one that was kept by an earlier version is as it was."""
    return zlib.decompress(memoryview(kept)[len(_PACKED) :]) if kept.startswith(_PACKED) else kept


def waits(session: Session, shop_id: int, file_id: int) -> bool:
    """Whether it is there, without reading it."""
    found = select(col(WaitingFile.id)).where(
        col(WaitingFile.shop_id) == shop_id, col(WaitingFile.id) == file_id
    )
    return session.execute(found).first() is not None


def of_import(session: Session, import_id: int) -> bytes | None:
    """The file that this import is taking."""
    found = select(col(WaitingFile.data)).where(col(WaitingFile.import_id) == import_id)
    kept = session.execute(found).scalars().first()
    return None if kept is None else unpacked(kept)


def kept_of(session: Session, import_ids: Iterable[int]) -> set[int]:
    """Those of some imports (a page of them at most) whose file is kept."""
    found = select(col(WaitingFile.import_id)).where(col(WaitingFile.import_id).in_(list(import_ids)))
    return {one for one in session.execute(found).scalars() if one is not None}


def forget_of_import(session: Session, import_id: int) -> None:
    session.execute(delete(WaitingFile).where(col(WaitingFile.import_id) == import_id))


def forget(session: Session, shop_id: int, file_id: int) -> None:
    session.execute(
        delete(WaitingFile).where(col(WaitingFile.shop_id) == shop_id, col(WaitingFile.id) == file_id)
    )


def forget_older(session: Session, shop_id: int, than: datetime) -> None:
    session.execute(
        delete(WaitingFile).where(
            col(WaitingFile.shop_id) == shop_id,
            col(WaitingFile.kept_at) < than,
            col(WaitingFile.import_id).is_(None),
        )
    )
