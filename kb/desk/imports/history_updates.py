"""The bulletins that a history names: known ones by number, and a draft for each number that none has."""

from __future__ import annotations

from collections.abc import Sequence

from kb.desk.context import Desk, lead_or_owner
from kb.intake.history.history_row import HistoryRow
from kb.nouns.notes import HISTORY, NoteDraft, NoteKind, NoteState
from kb.nouns.vehicles import fold_id
from kb.records.store.imports import history as store
from kb.records.store.imports import imports as import_store
from kb.records.store.imports.imports import Took
from kb.records.store.notes.note_writing import Stamp, insert_notes


@lead_or_owner
def updates_of(desk: Desk, import_id: int, rows: Sequence[HistoryRow]) -> list[int | None]:
    """The bulletin of each row's update; a number that no bulletin has makes a draft with that number."""
    known = named_updates(desk, rows)
    unknown: dict[str, str] = {}
    for row, update in zip(rows, known, strict=True):
        if row.update and update is None:
            unknown.setdefault(fold_id(row.update), row.update.strip())
    drafts = [_draft(number) for number in unknown.values()]
    stamp = Stamp(desk.actor.name, desk.now, 0, f"import {import_id}", import_id)
    ids = insert_notes(desk.session, desk.shop.id, drafts, stamp)
    took = [Took(note_id, draft.identity) for note_id, draft in zip(ids, drafts, strict=True)]
    import_store.remember(desk.session, desk.shop.id, import_id, import_store.NOTE, took)
    made = dict(zip(unknown, ids, strict=True))
    return [update or made.get(fold_id(row.update)) for row, update in zip(rows, known, strict=True)]


@lead_or_owner
def named_updates(desk: Desk, rows: Sequence[HistoryRow]) -> list[int | None]:
    """The bulletin of each row's update, as far as one is on file."""
    known = store.notes_by_number(desk.session, desk.shop.id, {row.update for row in rows})
    return [known.get(fold_id(row.update)) for row in rows]


def _draft(number: str) -> NoteDraft:
    return NoteDraft(
        kind=NoteKind.BULLETIN,
        number=number,
        title=f"{number} (from history)",
        state=NoteState.DRAFT,
        source=HISTORY,
        identity=f"history:{fold_id(number)}",
    )
