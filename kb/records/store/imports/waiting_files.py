"""Files that wait to be brought in."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import delete, select
from sqlmodel import Session, col

from kb.records.tables import WaitingFile


def keep(session: Session, row: WaitingFile) -> int:
    session.add(row)
    session.flush()
    return row.id or 0


def waiting(session: Session, shop_id: int, file_id: int) -> WaitingFile | None:
    row = session.get(WaitingFile, file_id)
    return row if row is not None and row.shop_id == shop_id else None


def waits(session: Session, shop_id: int, file_id: int) -> bool:
    """Whether it is there, without reading it."""
    found = select(col(WaitingFile.id)).where(
        col(WaitingFile.shop_id) == shop_id, col(WaitingFile.id) == file_id
    )
    return session.execute(found).first() is not None


def forget(session: Session, shop_id: int, file_id: int) -> None:
    session.execute(
        delete(WaitingFile).where(col(WaitingFile.shop_id) == shop_id, col(WaitingFile.id) == file_id)
    )


def forget_older(session: Session, shop_id: int, than: datetime) -> None:
    session.execute(
        delete(WaitingFile).where(col(WaitingFile.shop_id) == shop_id, col(WaitingFile.kept_at) < than)
    )
