"""Undoing an import: what it made goes, unless somebody edited or used it since; that is kept and listed."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import asdict

from kb.desk.context import Desk, RunningShop, lead_or_owner
from kb.desk.imports import import_history
from kb.desk.imports.heartbeat import beating
from kb.desk.imports.import_jobs import TurnIsOver, job_row, put_summary, row_in_turn
from kb.desk.imports.import_told import ImportState, Kept, Undone
from kb.desk.imports.slices import Slices
from kb.desk.notes.note_circles import closes_circle, steps_beside
from kb.desk.notes.speaks_against import attach_checks
from kb.errors import BadInput
from kb.nouns.notes import Note
from kb.nouns.people import Actor
from kb.nouns.starting_checks import System
from kb.records.store.imports import imports as store
from kb.records.store.imports import left_out_rows as left_out_store
from kb.records.store.imports import waiting_files as file_store
from kb.records.store.imports.history_told import HISTORY_ROW
from kb.records.store.notes import checks as check_store
from kb.records.store.notes import note_references as references
from kb.records.store.notes import notes as note_store
from kb.records.store.notes.note_content import from_content
from kb.records.store.notes.note_writing import Stamp, delete_notes, delete_revision, put_content
from kb.records.tables import ImportedRow

UndoBatch = Callable[[Desk, Sequence[ImportedRow]], Undone]


def undo_import(shop: RunningShop, actor: Actor, import_id: int) -> None:
    """Take back what an import made, slice by slice; called again it carries on where it stopped.

    A note that the import changed goes back one revision. BadInput for a dry run or one undone already.
    """
    with shop.writing(actor) as desk:
        turn = _begin(desk, import_id)
    try:
        with beating(shop, actor, import_id, turn):
            for noun, undo in _NOUNS:
                _undo_noun(shop, actor, import_id, turn, noun, undo)
    except TurnIsOver:
        return
    except Exception:
        with shop.writing(actor) as desk:
            _make_caches_anew(desk)
        raise
    with shop.writing(actor) as desk:
        _end(desk, import_id, turn)


@lead_or_owner
def _begin(desk: Desk, import_id: int) -> int:
    row = job_row(desk, import_id)
    if row.dry_run:
        raise BadInput("This was a dry run; it took nothing that could be undone.")
    if row.state == ImportState.UNDONE.value:
        raise BadInput("This import is undone already.")
    turn: int = row.summary.get("turn", 0) + 1
    row.state = ImportState.UNDOING.value
    put_summary(row, desk, turn=turn, kept=[])
    file_store.forget_of_import(desk.session, import_id)
    desk.session.flush()
    desk.note_down("began to undo", "import", import_id)
    return turn


def _undo_noun(
    shop: RunningShop, actor: Actor, import_id: int, turn: int, noun: str, undo: UndoBatch
) -> None:
    after, slices = 0, Slices()
    while True:
        with shop.writing(actor) as desk, slices.one() as size:
            row = row_in_turn(desk, import_id, turn)
            taken = store.taken_by(desk.session, import_id, noun, after, size)
            if not taken:
                return
            after = taken[-1].id or 0
            done = undo(desk, taken)
            said = row.summary
            put_summary(
                row,
                desk,
                removed=said.get("removed", 0) + done.removed,
                reverted=said.get("reverted", 0) + done.reverted,
                kept=[*said.get("kept", ()), *(asdict(one) for one in done.kept)],
            )
        slices.let_others()


@lead_or_owner
def _end(desk: Desk, import_id: int, turn: int) -> None:
    row = row_in_turn(desk, import_id, turn)
    row.state, row.ended_at = ImportState.UNDONE.value, desk.now
    left = [asdict(one) for one in import_history.left_over(desk, import_id)]
    put_summary(row, desk, kept=[*row.summary["kept"], *left])
    left_out_store.forget(desk.session, import_id)
    desk.session.flush()
    _make_caches_anew(desk)
    desk.note_down("undid", "import", import_id, kept=len(row.summary["kept"]))


def _make_caches_anew(desk: Desk) -> None:
    """What they hold may be gone. Once for all batches: the index of the search is built from nothing."""
    for topic in ("notes", "notes_removed", "concerns", "outcomes"):
        desk.bump(topic)


def _undo_notes(desk: Desk, taken: Sequence[ImportedRow]) -> Undone:
    undone, settled = Undone(), list[int]()
    on_file = note_store.notes_with_ids(desk.session, desk.shop.id, [row.noun_id for row in taken])
    own = _own_checks(desk, on_file.values())
    used = references.in_use(desk.session, list(on_file), own)
    gone: list[int] = []
    for row in taken:
        note = on_file.get(row.noun_id)
        why = _why_kept(row, note, used)
        if note is not None and why:
            undone.kept.append(Kept("note", note.id, note.content.title, why))
            continue
        if note is not None and row.action == "created":
            gone.append(note.id)
            attach_checks(desk, note.id, note.content.speaks_against, ())
        elif note is not None and not _go_back(desk, note, undone):
            continue
        settled.append(row.id or 0)
    delete_notes(desk.session, gone)
    check_store.delete_unused(desk.session, {check for check, _ in own}, System.NOTE.value)
    store.forget(desk.session, settled)
    undone.removed = len(gone)
    return undone


def _own_checks(desk: Desk, notes: Collection[Note]) -> set[tuple[int, int]]:
    """(check, note) for what each note says speaks against it."""
    keys = {one.check for note in notes for one in note.content.speaks_against}
    ids = check_store.ids_of(desk.session, desk.shop.id, keys)
    return {
        (ids[one.check], note.id) for note in notes for one in note.content.speaks_against if one.check in ids
    }


def _why_kept(row: ImportedRow, note: Note | None, used: set[int]) -> str:
    if note is None:
        return ""
    if note.version != row.version:
        return "edited since"
    return "used since" if row.action == "created" and note.id in used else ""


def _go_back(desk: Desk, note: Note, undone: Undone) -> bool:
    """Put a note back to its revision before the import, if that closes no circle of calibrations."""
    kept = note_store.revision_of(desk.session, note.id, note.version - 1)
    if kept is None:
        return False
    before = from_content(kept.content)
    if closes_circle(before, note.id, steps_beside(desk, (before,))):
        why = "the text before would close a circle of calibrations"
        undone.kept.append(Kept("note", note.id, note.content.title, why))
        return False
    stamp = Stamp(kept.author, kept.saved_at, desk.revisions()["notes"])
    put_content(desk.session, [(note.id, kept.version, before)], stamp)
    attach_checks(desk, note.id, note.content.speaks_against, before.speaks_against)
    delete_revision(desk.session, note.id, note.version)
    undone.reverted += 1
    return True


_NOUNS: tuple[tuple[str, UndoBatch], ...] = (
    (HISTORY_ROW, import_history.undo_rows),
    (store.NOTE, _undo_notes),
)
