"""Recalls: titles and coverage of the notes that may be one, and what look-ups by VIN said of them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy import Row, select
from sqlmodel import Session, col

from kb.records.store.bay.searching import in_chunks
from kb.records.store.rows import columns
from kb.records.tables import NoteRow, RecallLookUp


def titles(session: Session, shop_id: int, note_ids: Sequence[int]) -> list[Row[Any]]:
    """(id, kind, number, title, source, remedy_module) of published notes."""
    told = columns(NoteRow, ("id", "kind", "number", "title", "source", "remedy_module"))
    wanted = select(*told).where(col(NoteRow.shop_id) == shop_id, col(NoteRow.state) == "published")
    return [
        row for ids in in_chunks(note_ids) for row in session.execute(wanted.where(col(NoteRow.id).in_(ids)))
    ]


def put(
    session: Session,
    concern_id: int,
    *,
    number: str,
    result: str,
    touches: bool | None,
    by: str,
    on: date,
    at: datetime,
) -> None:
    """Write what was said of one number on one concern, in place of what was said before."""
    row = session.execute(
        select(RecallLookUp).where(
            col(RecallLookUp.concern_id) == concern_id, col(RecallLookUp.number) == number
        )
    ).scalar_one_or_none()
    row = row or RecallLookUp(concern_id=concern_id, number=number, result=result, by=by, on=on, at=at)
    row.result, row.touches, row.by, row.on, row.at = result, touches, by, on, at
    session.add(row)
    session.flush()
