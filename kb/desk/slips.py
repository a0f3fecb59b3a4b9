"""Slips that may be meant: an unknown make, a name twice, a bulletin entered again. Said, never refused."""

from __future__ import annotations

import re
from collections.abc import Iterable

from kb.desk.context import Desk, anyone_in_the_shop
from kb.desk.equipment import list_equipment
from kb.errors import BadInput
from kb.nouns.notes import NoteDraft, NoteKind, NoteState
from kb.records.store import makes as store
from kb.records.store import notes as note_store
from kb.vehicle.coverage import fold


@anyone_in_the_shop
def unknown_makes(desk: Desk, makes: Iterable[str]) -> tuple[str, ...]:
    """A sentence for each make that no note, vehicle or requirement knows. Ask before saving one."""
    known = {fold(make) for make in store.makes_on_record(desk.session, desk.shop.id)}
    wanted = dict.fromkeys(make.strip() for make in makes if make.strip())
    return tuple(
        f"No note or vehicle here is of make {make}: check the spelling."
        for make in wanted
        if fold(make) not in known
    )


@anyone_in_the_shop
def same_name(desk: Desk, name: str, equipment_id: int | None) -> tuple[str, ...]:
    """A sentence if another piece in use has this name."""
    twin = any(
        fold(one.content.name) == fold(name) and one.id != equipment_id for one in list_equipment(desk)
    )
    return (f"Another piece is called {name} too: give one of them another name.",) if twin else ()


@anyone_in_the_shop
def published_already(desk: Desk, draft: NoteDraft, note_id: int | None) -> str:
    """Title of the published bulletin with this number and a make of this one's, or empty."""
    if draft.kind is not NoteKind.BULLETIN or draft.state is not NoteState.PUBLISHED:
        return ""
    mine = {fold(line.make) for line in draft.coverage}
    numbered = store.notes_numbered(desk.session, desk.shop.id, (draft.number,))
    twins = [one for one, _, state in numbered if state == NoteState.PUBLISHED.value and one != note_id]
    for note in note_store.notes_with_ids(desk.session, desk.shop.id, twins).values():
        theirs = {fold(line.make) for line in note.content.coverage}
        if note.content.kind is NoteKind.BULLETIN and (mine & theirs or not (mine and theirs)):
            return note.content.title
    return ""


@anyone_in_the_shop
def notes_called(desk: Desk, name: str) -> tuple[int, ...]:
    """Ids of the notes with this printed number, or of "#12" that one. BadInput if there is none."""
    if re.fullmatch(r"#[0-9]{1,9}", name):
        found = list(note_store.notes_with_ids(desk.session, desk.shop.id, (int(name[1:]),)))
    else:
        found = [one for one, _, _ in store.notes_numbered(desk.session, desk.shop.id, (name,))]
    if not found:
        raise BadInput(f"There is no note {name}.", fields={"attached_to": f"there is no note {name}"})
    return tuple(found)


@anyone_in_the_shop
def numbers_of(desk: Desk, ids: Iterable[int]) -> dict[int, str]:
    """Printed numbers by id, of the notes that have one."""
    notes = note_store.notes_with_ids(desk.session, desk.shop.id, ids)
    return {one: note.content.number for one, note in notes.items() if note.content.number}
