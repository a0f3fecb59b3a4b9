"""Slips that may be meant: an unknown make, a name twice, a bulletin entered again. Said, never refused."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.concern.vehicles import is_one_slip
from kb.desk.context import Desk, anyone_in_the_shop
from kb.desk.shop.equipment import list_equipment
from kb.errors import BadInput
from kb.nouns.notes import NoteDraft, NoteKind, NoteState
from kb.nouns.vehicles import fold_id
from kb.records.store.notes import makes as store
from kb.records.store.notes import notes as note_store
from kb.vehicle.families import fold
from kb.vehicle.makes import folded_make
from kb.vehicle.updates_on_file import ANY_MAKE

_USUAL_SLIPS = str.maketrans({",": ".", "O": "0", "I": "1"})


@anyone_in_the_shop
def unknown_makes(desk: Desk, makes: Iterable[str], *, but_vehicle: int | None = None) -> tuple[str, ...]:
    """A sentence for each make that no note, vehicle or requirement knows. Ask before saving one.

    `but_vehicle`: the vehicle that is being corrected, whose own make proves nothing.
    """
    known = {fold(make): make for make in store.makes_on_record(desk.session, desk.shop.id, but_vehicle)}
    wanted = dict.fromkeys(make.strip() for make in makes if make.strip())
    return tuple(_unknown_make(make, known) for make in wanted if fold(make) not in known)


@anyone_in_the_shop
def no_update_of_make(desk: Desk, make: str) -> str:
    """Why no update may fit: none on file is of this make, perhaps by a slip of the pen. Else empty."""
    updates = updates_desk.on_file(desk)
    typed, known = folded_make(make), set(updates.by_make) - {ANY_MAKE}
    if not typed or not known or typed in known:
        return ""
    near = next((one for one in sorted(known) if is_one_slip(typed, one)), "")
    lines = (line.make for one in updates.by_id.values() for line in one.coverage if near)
    spelled = next((each for each in lines if folded_make(each) == near), "")
    return f"No update on file is of make {make}{f'; did you mean {spelled}?' if spelled else '.'}"


@anyone_in_the_shop
def like_on_file(desk: Desk, make: str, module: str, calibration_id: str) -> str:
    """Of an ID that is not on file: one of that module that is, and differs by a usual slip. Else empty.

    A comma for a point, a letter O or I for the digit (common practice, no source).
    """
    lineage = updates_desk.on_file(desk).lineage(make)
    if lineage.knows(module, calibration_id):
        return ""
    place, typed = fold_id(module), _as_meant(calibration_id)
    known = (id_ for (where, id_) in lineage.spelling if where == place and _as_meant(id_) == typed)
    meant = next(known, "")
    return f"{lineage.spelling[place, meant]} is on file; did you mean it?" if meant else ""


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
    mine = {folded_make(line.make) for line in draft.coverage}
    numbered = store.notes_numbered(desk.session, desk.shop.id, (draft.number,))
    published = NoteState.PUBLISHED.value
    twins = [one.id for one in numbered if one.state == published and one.id != note_id]
    for note in note_store.notes_with_ids(desk.session, desk.shop.id, twins).values():
        theirs = {folded_make(line.make) for line in note.content.coverage}
        if note.content.kind is NoteKind.BULLETIN and (mine & theirs or not (mine and theirs)):
            return note.content.title
    return ""


@anyone_in_the_shop
def notes_called(desk: Desk, name: str, field: str = "attached_to") -> tuple[int, ...]:
    """Ids of the notes with this printed number, or of "#12" that one. BadInput if there is none."""
    if re.fullmatch(r"#[0-9]{1,9}", name):
        found = list(note_store.notes_with_ids(desk.session, desk.shop.id, (int(name[1:]),)))
    else:
        found = [one.id for one in store.notes_numbered(desk.session, desk.shop.id, (name,))]
    if not found:
        raise BadInput(f"There is no note {name}.", fields={field: f"there is no note {name}"})
    return tuple(found)


@anyone_in_the_shop
def numbers_of(desk: Desk, ids: Iterable[int]) -> dict[int, str]:
    """Printed numbers by id, of the notes that have one."""
    notes = note_store.notes_with_ids(desk.session, desk.shop.id, ids)
    return {one: note.content.number for one, note in notes.items() if note.content.number}


def _unknown_make(make: str, known: Mapping[str, str]) -> str:
    near = next((known[one] for one in sorted(known) if is_one_slip(fold(make), one)), "")
    if near:
        return f"{make} is no make on file here; did you mean {near}?"
    return f"No note or vehicle here is of make {make}: check the spelling."


def _as_meant(calibration_id: str) -> str:
    return fold_id(calibration_id).translate(_USUAL_SLIPS)
