"""Files that wait to be brought in."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import delete, select
from sqlmodel import Session, col

from kb.records.tables import WaitingFile


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
