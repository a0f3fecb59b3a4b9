"""Whether notes were looked at lately, and which of them stand in for others."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import date, datetime
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Row, String, cast, func, literal, or_, select, update
from sqlmodel import Session, col

from kb.nouns.notes import NoteState
from kb.records.store.imports.bulk import runs, table_of
from kb.records.store.notes.notes import IN_A_LIST
from kb.records.store.rows import columns
from kb.records.tables import NoteReplaced, NoteRow, Outcome


def looked_at(session: Session, note_id: int, on: date, by: str, again_on: date | None) -> None:
    """Write down that somebody found a note right on a day."""
    seen = {"looked_at_on": on, "looked_at_by": by, "look_again_on": again_on}
    session.execute(update(NoteRow).where(col(NoteRow.id) == note_id).values(**seen))


def not_looked_at(
    session: Session,
    shop_id: int,
    today: date,
    since: tuple[date, datetime],
    kept_current: Collection[str],
    most: int,
) -> tuple[int, list[Row[Any]]]:
    """How many published notes are to be looked at today, and the first of them, the longest waiting first.

    Due is what somebody wanted to see again by today, else what nobody looked at or changed since `since` (as
    a day and as a moment). Sources that a file keeps current are left out, unless somebody looked at the note
    before or a reflash counts for it.
    """
    unseen = col(NoteRow.looked_at_on).is_(None) & (col(NoteRow.changed_at) <= since[1])
    old = col(NoteRow.look_again_on).is_(None) & (unseen | (col(NoteRow.looked_at_on) <= since[0]))
    counted = select(literal(1)).where(col(Outcome.update_id) == col(NoteRow.id)).exists()
    ours = col(NoteRow.source).not_in(kept_current) | col(NoteRow.looked_at_on).is_not(None) | counted
    due: tuple[ColumnElement[bool], ...] = (
        col(NoteRow.shop_id) == shop_id,
        col(NoteRow.state) == NoteState.PUBLISHED.value,
        or_(col(NoteRow.look_again_on) <= today, old & ours),
    )
    total = session.execute(select(func.count()).select_from(NoteRow).where(*due)).scalar_one()
    oldest = (col(NoteRow.looked_at_on).asc().nulls_first(), col(NoteRow.changed_at), col(NoteRow.id))
    found = select(*columns(NoteRow, IN_A_LIST)).where(*due).order_by(*oldest).limit(most)
    return int(total), list(session.execute(found).all())


def counted_for(session: Session, note_ids: Iterable[int]) -> dict[int, int]:
    """How many outcomes count for each of these notes that has any."""
    found: dict[int, int] = {}
    per_note = select(col(Outcome.update_id), func.count()).group_by(col(Outcome.update_id))
    for some in runs(note_ids):
        rows = session.execute(per_note.where(col(Outcome.update_id).in_(some)))
        found.update({note_id: int(count) for note_id, count in rows if note_id is not None})
    return found


class Replaces(NamedTuple):
    """A published note says that it takes the place of another one."""

    newer: int
    older: int


def replacements(session: Session, shop_id: int) -> list[Replaces]:
    """Every pair in which a published note names another note that is on file, by number or as "#12"."""
    older, newer = table_of(NoteRow).alias("older"), table_of(NoteRow).alias("newer")
    name, by = col(NoteReplaced.number), col(NoteReplaced.note_id)
    pairs = (
        select(newer.c.id, older.c.id)
        .select_from(newer)
        .join(NoteReplaced, by == newer.c.id)
        .where(newer.c.shop_id == shop_id, newer.c.state == NoteState.PUBLISHED.value)
        .where(older.c.shop_id == shop_id, older.c.id != newer.c.id)
    )
    numbered = pairs.join(older, (older.c.number_folded == name) & (older.c.number_folded != ""))
    by_id = pairs.join(older, literal("#").concat(cast(older.c.id, String)) == name)
    rows = (tuple(row) for query in (numbered, by_id) for row in session.execute(query))
    return sorted({Replaces(*row) for row in rows})
