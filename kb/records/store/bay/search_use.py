"""What people searched for and what they opened from it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime

from sqlalchemy import func, or_, select
from sqlmodel import Session, col

from kb.records.store.rows import rows_where
from kb.records.tables import ConcernRow, NoteRow, SearchLog


def by_mark(session: Session, shop_id: int, mark: str) -> SearchLog | None:
    wanted = select(SearchLog).where(col(SearchLog.shop_id) == shop_id, col(SearchLog.mark) == mark)
    return session.execute(wanted).scalars().first()


def of_open_concern(session: Session, shop_id: int, concern_id: int) -> SearchLog | None:
    """The search by which a concern was opened, while its answer is not known."""
    wanted = (
        select(SearchLog)
        .join(ConcernRow, col(ConcernRow.id) == col(SearchLog.concern_id))
        .where(col(SearchLog.shop_id) == shop_id, col(SearchLog.concern_id) == concern_id)
        .where(col(ConcernRow.state) == "open")
    )
    return session.execute(wanted).scalars().first()


def with_little_found(
    session: Session, shop_id: int, since: datetime, faint: Collection[str], most: int
) -> list[SearchLog]:
    """Searches that found no note, or none better than these grades, and that nobody set aside; the newest
    first.
    """
    wanted = (
        select(SearchLog)
        .where(col(SearchLog.shop_id) == shop_id, col(SearchLog.at) >= since)
        .where(or_(col(SearchLog.found) == 0, col(SearchLog.best).in_(faint)))
        .where(col(SearchLog.set_aside_by) == "")
        .order_by(col(SearchLog.at).desc(), col(SearchLog.id).desc())
        .limit(most)
    )
    return list(session.execute(wanted).scalars())


def how_many_set_aside(session: Session, shop_id: int) -> int:
    aside = (col(SearchLog.shop_id) == shop_id, col(SearchLog.set_aside_by) != "")
    return int(session.execute(select(func.count()).select_from(SearchLog).where(*aside)).scalar_one())


def that_opened(
    session: Session, shop_id: int, since: datetime, kinds: Collection[str], ids: Sequence[int]
) -> list[SearchLog]:
    """Searches from which one of these was opened, the newest first."""
    theirs = (col(SearchLog.shop_id) == shop_id, col(SearchLog.at) >= since)
    opened = (col(SearchLog.opened_kind).in_(kinds), col(SearchLog.opened_id).in_(ids))
    newest = (col(SearchLog.at).desc(), col(SearchLog.id).desc())
    return rows_where(session, SearchLog, *theirs, *opened, by=newest)


def that_ended_in(
    session: Session, shop_id: int, since: datetime, note_ids: Sequence[int]
) -> list[SearchLog]:
    """Searches of concerns that one of these notes cured or explained in the end, the newest first."""
    cured, explained = col(ConcernRow.cured_by_note_id), col(ConcernRow.explained_by_note_id)
    wanted = (
        select(SearchLog)
        .join(ConcernRow, col(ConcernRow.id) == col(SearchLog.concern_id))
        .where(col(SearchLog.shop_id) == shop_id, col(SearchLog.at) >= since)
        .where(or_(cured.in_(note_ids), explained.in_(note_ids)))
        .order_by(col(SearchLog.at).desc(), col(SearchLog.id).desc())
    )
    return list(session.execute(wanted).scalars())


def with_its_duplicates(session: Session, shop_id: int, note_id: int) -> list[int]:
    """A note's id, and the ids of those merged into it."""
    merged = select(col(NoteRow.id)).where(
        col(NoteRow.shop_id) == shop_id, col(NoteRow.merged_into_id) == note_id
    )
    return [note_id, *(one for one in session.execute(merged).scalars() if one is not None)]
