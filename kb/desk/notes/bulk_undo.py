"""Undoing a change of many notes: each goes back to the very version before, unless it was edited since."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import asdict
from datetime import datetime

from kb.desk.context import Desk, RunningShop, lead_or_owner
from kb.desk.notes.bulk import IN_A_BATCH, MOST_LEFT, ask_of
from kb.desk.notes.note_circles import StepOnFile, closes_circle, steps_beside
from kb.desk.saving import row_of
from kb.errors import BadInput
from kb.nouns.lead.bulk_changes import BulkAsk, BulkState, LeftNote, WhyLeft
from kb.nouns.notes import NoteDraft
from kb.nouns.people import Actor
from kb.records.store.notes import bulk_changes as store
from kb.records.store.notes.note_content import from_content
from kb.records.store.notes.note_writing import Stamp
from kb.records.tables import NoteBulk, NoteBulkItem, NoteRevision


def undo_bulk(shop: RunningShop, actor: Actor, bulk_id: int) -> None:
    """Put every note of the change back, in batches; called again it carries on. What was edited since, or
    would close a circle of calibrations, stays and is listed.
    """
    with shop.writing(actor) as desk:
        _begin(desk, bulk_id)
    after = 0
    while True:
        with shop.writing(actor) as desk:
            items = store.items_after(desk.session, bulk_id, after, IN_A_BATCH)
            if not items:
                _end(desk, bulk_id)
                return
            after = items[-1].note_id
            _put_back(desk, bulk_id, items)


@lead_or_owner
def _begin(desk: Desk, bulk_id: int) -> None:
    row = row_of(desk, NoteBulk, bulk_id, f"There is no change {bulk_id} of many notes.")
    if row.state == BulkState.UNDONE.value:
        raise BadInput("This change is undone already.")
    row.state, row.left_notes, row.moved_at = BulkState.UNDOING.value, [], desk.now


@lead_or_owner
def _put_back(desk: Desk, bulk_id: int, items: list[NoteBulkItem]) -> None:
    row = row_of(desk, NoteBulk, bulk_id, "gone")
    versions = {one.note_id: one.version for one in items}
    now = store.heads(desk.session, versions)
    untouched = {i: v for i, v in versions.items() if i in now and now[i][0] == v}
    before = {
        i: (r, from_content(r.content)) for i, r in store.revisions_before(desk.session, untouched).items()
    }
    beside = steps_beside(desk, (draft for _, draft in before.values()))
    why = {i: _why_left(i, before[i][1] if i in before else None, beside) for i in now}
    back = {i: before[i] for i in before if why[i] is None}
    left = [LeftNote(i, title, reason) for i, (_, title) in now.items() if (reason := why[i])]
    _write(desk, ask_of(row), back)
    store.delete_revisions(desk.session, {note_id: versions[note_id] for note_id in back})
    store.forget(desk.session, bulk_id, list(back))
    row.put_back, row.moved_at = row.put_back + len(back), desk.now
    row.left_notes = [*row.left_notes, *(asdict(one) for one in left)][:MOST_LEFT]
    desk.session.flush()


def _why_left(note_id: int, before: NoteDraft | None, beside: tuple[StepOnFile, ...]) -> WhyLeft | None:
    if before is None:
        return WhyLeft.EDITED_SINCE
    return WhyLeft.CIRCLE if closes_circle(before, note_id, beside) else None


def _write(desk: Desk, ask: BulkAsk, back: dict[int, tuple[NoteRevision, NoteDraft]]) -> None:
    """The content before, with its own author and moment; the search is told by a new revision."""
    by_stamp: dict[tuple[str, datetime], list[tuple[int, int, NoteDraft]]] = defaultdict(list)
    for note_id, (kept, draft) in back.items():
        by_stamp[(kept.author, kept.saved_at)].append((note_id, kept.version, draft))
    revision = desk.bump("notes")
    for (author, saved_at), changes in by_stamp.items():
        store.put(desk.session, ask, changes, Stamp(author, saved_at, revision))


@lead_or_owner
def _end(desk: Desk, bulk_id: int) -> None:
    row = row_of(desk, NoteBulk, bulk_id, "gone")
    row.state, row.moved_at = BulkState.UNDONE.value, desk.now
    desk.session.flush()
    desk.note_down("undid in bulk", "notes", bulk_id, put_back=row.put_back, left=len(row.left_notes))
