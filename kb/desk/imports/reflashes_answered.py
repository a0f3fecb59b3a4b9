"""Reflashes read from texts: counted as if their rows had named them, left out, or taken back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from kb.desk.context import Desk, lead_or_owner
from kb.desk.imports.history_drafts import from_content
from kb.desk.imports.history_made import add_rows
from kb.desk.imports.history_told import tell
from kb.desk.imports.import_jobs import job_row, let_be_found
from kb.desk.imports.import_told import ImportState
from kb.desk.imports.import_visits import renew_with_visits
from kb.desk.imports.reflashes_read import NOT_READ, reflashes_read, told_by
from kb.errors import BadInput
from kb.intake.history.history_row import HistoryRow
from kb.nouns.history.reflashes_read import OPEN, Answer, Answered, ReadState, Said
from kb.records.store.bay.writing import Columns
from kb.records.store.imports import history_undo
from kb.records.store.imports import imports as import_store
from kb.records.store.imports import reflashes_read as store
from kb.records.store.imports.history_told import HISTORY_ROW, places_of
from kb.records.tables import ReflashRead

_TO_ANSWER = {
    Answer.TAKE: (*OPEN, ReadState.NOT_TAKEN),
    Answer.LEAVE: OPEN,
    Answer.TAKE_BACK: (ReadState.TAKEN, ReadState.NOT_TAKEN),
}
_WHICH_NUMBER = (
    "The text names no update. Enter its number, or say that none is known: then it is counted as a reflash "
    "without a number, under no bulletin."
)


@lead_or_owner
def answer_reflashes(desk: Desk, import_id: int, alike: str, said: Said) -> Answered:
    """Take, leave or take back the reflashes of a group; a whole group leaves out what was left before."""
    answered = _answer(desk, import_id, alike, said)
    if said.answer is not Answer.LEAVE:
        let_be_found(desk, import_id)
    return answered


@lead_or_owner
def take_every_named(desk: Desk, import_id: int) -> Answered:
    """Take each open group whose texts name their update."""
    every, named = Answered(0), reflashes_read(desk, import_id).named
    for group in named:
        every += _answer(desk, import_id, group.alike, Said(Answer.TAKE))
    if named:
        let_be_found(desk, import_id)
    return every


def _answer(desk: Desk, import_id: int, alike: str, said: Said) -> Answered:
    job = job_row(desk, import_id)
    if job.state != ImportState.DONE.value:
        raise BadInput("This import is not done, or was undone: nothing read from it can be counted.")
    states = _TO_ANSWER[said.answer]
    if said.answer is Answer.TAKE and not said.only:
        states = OPEN
    reads = store.to_answer(desk.session, import_id, alike, states, said.only)
    if said.answer is Answer.TAKE:
        _refuse_what_is_not_said(said, alike, reads)
        answered = _take(desk, import_id, reads, said)
    elif said.answer is Answer.LEAVE:
        answered = _mark(desk, reads, ReadState.NOT_TAKEN)
    else:
        answered = _take_back(desk, import_id, reads)
    desk.session.flush()
    what = f"{said.answer.value.replace('_', ' ')}: reflashes read from texts"
    desk.note_down(what, "import", import_id, count=answered.done)
    return answered


def _refuse_what_is_not_said(said: Said, alike: str, reads: Sequence[ReflashRead]) -> None:
    if alike == NOT_READ and not said.only:
        raise BadInput("Choose the texts that tell of a reflash.", fields={"only": "none"})
    unnamed = said.update == "" or (said.update is None and any(not one.update for one in reads))
    if unnamed and not said.without_number:
        raise BadInput(_WHICH_NUMBER, fields={"update": "no number"})


def _mark(desk: Desk, reads: Sequence[ReflashRead], state: ReadState) -> Answered:
    for one in reads:
        one.state, one.decided_by, one.decided_at = state.value, desk.actor.name, desk.now
    return Answered(len(reads))


def _take(desk: Desk, import_id: int, reads: Sequence[ReflashRead], said: Said) -> Answered:
    """Each is a history row of its own beside that of its text, written by the same hand as a named one."""
    rows = _rows_now(desk, reads)
    stands = [one for one in reads if one.id in rows]
    dated = [one for one in stands if _day_of(one, said, rows[one.id or 0])]
    for one in dated:
        _put_said(one, said, rows[one.id or 0])
    told = {one.id or 0: told_by(one, rows[one.id or 0]) for one in dated}
    new = _not_on_file(desk, told)
    by_id = {one.id or 0: one for one in dated}
    places = places_of(desk.session, [by_id[at].concern_id for at in new])
    where = [(places[by_id[at].concern_id].vehicle_id, by_id[at].concern_id) for at in new]
    ids = add_rows(desk, import_id, [told[at] for at in new], where)
    for at, row_id in zip(new, ids, strict=True):
        by_id[at].taken_row_id = row_id
    _mark(desk, dated, ReadState.TAKEN)
    desk.session.flush()
    anew: dict[str, Columns] = {import_store.identity_hash(told[at].identity): {} for at in new}
    renew_with_visits(desk, tell(desk, {concern for _, concern in where}, anew))
    return Answered(len(dated), len(stands) - len(dated), changed_since=len(reads) - len(stands))


def _rows_now(desk: Desk, reads: Sequence[ReflashRead]) -> dict[int, HistoryRow]:
    """The rows as they stand, of those whose text is still the one that was read."""
    newest = import_store.last_taken(
        desk.session, desk.shop.id, HISTORY_ROW, {one.identity_hash for one in reads}
    )
    found: dict[int, HistoryRow] = {}
    for one in reads:
        taken = newest.get(one.identity_hash)
        row = from_content(taken.content or {}) if taken else None
        if row is not None and row.work_done == one.text:
            found[one.id or 0] = row
    return found


def _day_of(read: ReflashRead, said: Said, row: HistoryRow) -> date | None:
    """The day that it can be counted on; none where it came back before."""
    day = read.done_on or said.done_on
    return None if day is None or (row.returned_on is not None and row.returned_on < day) else day


def _put_said(read: ReflashRead, said: Said, row: HistoryRow) -> None:
    read.done_on = _day_of(read, said, row)
    if said.update is not None:
        read.update = said.update.strip()
    if said.module is not None:
        read.module = said.module.strip()
    if said.road_test is not None:
        read.road_test = said.road_test


def _not_on_file(desk: Desk, told: dict[int, HistoryRow]) -> list[int]:
    """Those that no row has told already, each once: the file may name the same reflash elsewhere."""
    hashes = {at: import_store.identity_hash(row.identity) for at, row in told.items()}
    known = import_store.last_taken(desk.session, desk.shop.id, HISTORY_ROW, set(hashes.values()))
    first = {key: at for at, key in reversed(hashes.items()) if key not in known}
    return sorted(first.values())


def _take_back(desk: Desk, import_id: int, reads: Sequence[ReflashRead]) -> Answered:
    """They are asked about again; a counted one goes, unless somebody worked on its concern since."""
    counted = [one for one in reads if one.taken_row_id is not None]
    concerns = {one.concern_id for one in counted}
    used = history_undo.used_since(desk.session, concerns, import_id)
    used |= history_undo.touched_since(desk.session, concerns, import_id)
    gone = [one for one in counted if one.concern_id not in used]
    rows = [one.taken_row_id or 0 for one in gone]
    back = [one for one in reads if one.taken_row_id is None or one in gone]
    for one in back:
        one.taken_row_id, one.decided_by, one.decided_at = None, "", None
        one.state = (ReadState.NOT_READ if one.alike == NOT_READ else ReadState.PROPOSED).value
    desk.session.flush()
    history_undo.take_away(desk.session, rows, (), {})
    import_store.forget(desk.session, rows)
    renew_with_visits(desk, tell(desk, {one.concern_id for one in gone}, {}))
    return Answered(len(back), used_since=len(reads) - len(back))
