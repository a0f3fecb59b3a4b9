"""One change of many notes at once, in batches, each a transaction that holds the writer shortly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace

from pydantic import TypeAdapter

from kb.desk.context import Desk, RunningShop, anyone_in_the_shop, lead_or_owner
from kb.desk.notes.note_circles import StepOnFile, closes_circle, joins_the_steps, steps_beside
from kb.desk.notes.note_faults import folded_makes
from kb.desk.notes.notes import NoteFilter
from kb.desk.saving import row_of
from kb.errors import BadInput, Conflict
from kb.nouns.copying import copied
from kb.nouns.lead.bulk_changes import BulkAction, BulkAsk, BulkChange, BulkPlan, BulkState, LeftNote, WhyLeft
from kb.nouns.notes import Note, NoteDraft, NoteState
from kb.nouns.people import Actor
from kb.records.store.imports.bulk import runs
from kb.records.store.notes import bulk_changes as store
from kb.records.store.notes import notes as note_store
from kb.records.store.notes.note_writing import Stamp, keep_revisions
from kb.records.store.rows import save
from kb.records.tables import NoteBulk

IN_A_BATCH = 100
MOST_LEFT = 1000
LISTED = 20
_ASKS = TypeAdapter(BulkAsk)


@dataclass(frozen=True, slots=True)
class Chosen:
    """The notes that somebody ticked, or all of a list."""

    ids: tuple[int, ...] = ()
    of_list: NoteFilter | None = None


@lead_or_owner
def plan_bulk(desk: Desk, ask: BulkAsk, chosen: Chosen) -> BulkPlan:
    """What a change would do, before anything is done. BadInput where something is missing."""
    ids = _ids(desk, chosen)
    ask = _whole(ask)
    so, merged = store.count_left(desk.session, ids, ask)
    return BulkPlan(len(ids), so, merged)


@lead_or_owner
def begin_bulk(
    desk: Desk, ask: BulkAsk, chosen: Chosen, expected: int | None = None
) -> tuple[int, list[int]]:
    """Open the change and give its id and the notes to go through, for `carry_on_bulk`.

    Conflict where the list holds another number of notes by now than was said.
    """
    ask, ids = _whole(ask), _ids(desk, chosen)
    if expected is not None and len(ids) != expected:
        raise Conflict(
            f"The list holds {len(ids):,} notes by now, not {expected:,}. Look at it again.",
            details={"total": len(ids)},
        )
    row = NoteBulk(
        shop_id=desk.shop.id,
        asked=asdict(ask),
        state=BulkState.WORKING.value,
        total=len(ids),
        author=desk.actor.name,
        started_at=desk.now,
        moved_at=desk.now,
    )
    return save(desk.session, row).id or 0, ids


def carry_on_bulk(shop: RunningShop, actor: Actor, bulk_id: int, ids: Sequence[int]) -> None:
    """Change the notes batch by batch; it stops by itself where somebody undoes it meanwhile."""
    for some in runs(ids, IN_A_BATCH):
        with shop.writing(actor) as desk:
            if not _change_some(desk, bulk_id, some):
                return
    with shop.writing(actor) as desk:
        _end(desk, bulk_id)


@anyone_in_the_shop
def read_bulk(desk: Desk, bulk_id: int) -> BulkChange:
    """One change as it stands; NotFound if there is none."""
    return _view(row_of(desk, NoteBulk, bulk_id, f"There is no change {bulk_id} of many notes."))


@anyone_in_the_shop
def list_bulks(desk: Desk) -> tuple[BulkChange, ...]:
    """The last changes of many notes, the newest first."""
    return tuple(_view(row) for row in store.last_changes(desk.session, desk.shop.id, LISTED))


@lead_or_owner
def _change_some(desk: Desk, bulk_id: int, ids: list[int]) -> bool:
    """One batch; False where the change is no longer at work."""
    row = row_of(desk, NoteBulk, bulk_id, "gone")
    if row.state != BulkState.WORKING.value:
        return False
    ask, notes = ask_of(row), note_store.notes_with_ids(desk.session, desk.shop.id, ids)
    changes, left, so = _sorted_out(desk, ask, [notes[one] for one in sorted(notes)])
    stamp = Stamp(desk.actor.name, desk.now, desk.bump("notes"), ask.why)
    versions = [(note.id, note.version + 1, draft) for note, draft in changes]
    store.put(desk.session, ask, versions, stamp)
    keep_revisions(desk.session, versions, stamp)
    store.remember(desk.session, bulk_id, [(note_id, version) for note_id, version, _ in versions])
    row.done, row.changed = row.done + len(ids), row.changed + len(changes)
    row.so_already, row.moved_at = row.so_already + so, desk.now
    row.left_notes = [*row.left_notes, *(asdict(one) for one in left)][:MOST_LEFT]
    desk.session.flush()
    return True


def _sorted_out(
    desk: Desk, ask: BulkAsk, notes: Sequence[Note]
) -> tuple[list[tuple[Note, NoteDraft]], list[LeftNote], int]:
    """The notes that change with their new content, those that cannot, and how many are so already."""
    merged = store.merged_among(desk.session, [one.id for one in notes])
    beside = list(steps_beside(desk, (ask.of(one.content) for one in notes)))
    changes: list[tuple[Note, NoteDraft]] = []
    left: list[LeftNote] = []
    so = 0
    for note in notes:
        draft = ask.of(note.content)
        if draft == note.content:
            so += 1
        elif draft.state is NoteState.PUBLISHED and note.id in merged:
            left.append(LeftNote(note.id, note.content.title, WhyLeft.MERGED))
        elif closes_circle(draft, note.id, beside):
            left.append(LeftNote(note.id, note.content.title, WhyLeft.CIRCLE))
        else:
            changes.append((note, draft))
            if joins_the_steps(draft):
                makes = folded_makes(line.make for line in draft.coverage)
                beside = [one for one in beside if one.note_id != note.id]
                beside += [StepOnFile(note.id, draft.identity, makes, step) for step in draft.steps]
    return changes, left, so


@lead_or_owner
def _end(desk: Desk, bulk_id: int) -> None:
    row = row_of(desk, NoteBulk, bulk_id, "gone")
    if row.state == BulkState.WORKING.value:
        row.state, row.moved_at = BulkState.DONE.value, desk.now
        said = {name: value for name, value in row.asked.items() if name != "action" and value}
        desk.note_down(f"{row.asked['action']} in bulk", "notes", bulk_id, changed=row.changed, **said)


def _ids(desk: Desk, chosen: Chosen) -> list[int]:
    wanted = chosen.of_list
    if wanted is None:
        ids = store.ids_on_file(desk.session, desk.shop.id, chosen.ids)
    else:
        kind, state = wanted.kind or "", wanted.state or ""
        ids = store.ids_of_list(desk.session, desk.shop.id, kind, state, wanted.make, wanted.text)
    if not ids:
        raise BadInput("Tick at least one note, or all of the list.", fields={"ids": "none chosen"})
    return ids


def _whole(ask: BulkAsk) -> BulkAsk:
    """The ask without stray blanks; BadInput where what its action needs is missing."""
    makes = tuple(dict.fromkeys(make for one in ask.makes if (make := " ".join(one.split()))))
    ask = replace(ask, why=ask.why.strip(), module=ask.module.strip(), makes=makes)
    if ask.action is BulkAction.RETIRE and not ask.why:
        raise BadInput("Say why the notes are retired.", fields={"why": "A reason is needed."})
    if ask.action is BulkAction.SET_MODULE and not ask.module:
        raise BadInput("Name the module, like TCM.", fields={"module": "A module is needed."})
    if ask.action is BulkAction.SET_MAKES and not makes:
        raise BadInput("Name the makes, separated by commas.", fields={"makes": "A make is needed."})
    return ask


def ask_of(row: NoteBulk) -> BulkAsk:
    """What was asked for."""
    return _ASKS.validate_python(row.asked)


def _view(row: NoteBulk) -> BulkChange:
    left = tuple(LeftNote(one["id"], one["title"], WhyLeft(one["why"])) for one in row.left_notes)
    return copied(BulkChange, row, ask=ask_of(row), state=BulkState(row.state), left=left)
