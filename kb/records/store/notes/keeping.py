"""Whether notes were looked at lately, and which of them stand in for others."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from datetime import date, datetime
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Row, func, literal, or_, select, update
from sqlmodel import Session, col

from kb.nouns.notes import NoteState
from kb.records.store.imports.bulk import runs
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
    # The names first, then the notes by them: asked in one, a database tried every note with every other.
    said = session.execute(
        select(col(NoteReplaced.note_id), col(NoteReplaced.number))
        .join(NoteRow, col(NoteRow.id) == col(NoteReplaced.note_id))
        .where(col(NoteRow.shop_id) == shop_id, col(NoteRow.state) == NoteState.PUBLISHED.value)
    ).all()
    numbers = {number for _, number in said if number}
    ids = {int(number[1:]) for number in numbers if number[0] == "#" and number[1:].isdecimal()}
    own = select(col(NoteRow.id), col(NoteRow.number_folded)).where(col(NoteRow.shop_id) == shop_id)
    named: dict[str, set[int]] = defaultdict(set)
    for some in runs(sorted(numbers)):
        for note_id, number in session.execute(own.where(col(NoteRow.number_folded).in_(some))):
            named[number].add(note_id or 0)
    for some in runs(sorted(ids)):
        for note_id, _ in session.execute(own.where(col(NoteRow.id).in_(some))):
            named[f"#{note_id}"].add(note_id or 0)
    pairs = {Replaces(newer, older) for newer, number in said for older in named.get(number, ())}
    return sorted(pair for pair in pairs if pair.newer != pair.older)
