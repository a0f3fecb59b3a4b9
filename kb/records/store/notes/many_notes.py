"""Whole notes in great number: all of them, and those that a file may mean."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sqlalchemy import select
from sqlmodel import Session, col

from kb.nouns.notes import Note
from kb.records.store.imports.bulk import runs
from kb.records.store.notes.notes import notes_with_ids
from kb.records.tables import NoteRow

_AT_ONCE = 400


def every_note(session: Session, shop_id: int) -> Iterator[Note]:
    """In the order of their ids, some at a time."""
    ids = select(col(NoteRow.id)).where(col(NoteRow.shop_id) == shop_id).order_by(col(NoteRow.id))
    for some in runs(session.execute(ids).scalars(), _AT_ONCE):
        notes = notes_with_ids(session, shop_id, some)
        yield from (notes[one] for one in some)


def written_here(session: Session, shop_id: int, numbers: Sequence[str], titles: Sequence[str]) -> list[Note]:
    """Notes that no import brought, with one of these numbers or titles, in the order of their ids."""
    found: set[int] = set()
    mine = select(col(NoteRow.id)).where(col(NoteRow.shop_id) == shop_id, col(NoteRow.identity) == "")
    for column, said in ((col(NoteRow.number), numbers), (col(NoteRow.title), titles)):
        for some in runs(said):
            found |= {one for one in session.execute(mine.where(column.in_(some))).scalars() if one}
    notes = notes_with_ids(session, shop_id, found)
    return [notes[one] for one in sorted(notes)]
