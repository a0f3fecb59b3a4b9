"""Recalls and campaigns of a concern's vehicle: those on file for its model, and what its VIN has of them.

The recall gate follows from them; nothing else settles it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from kb.desk.bay.advice import candidates
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.advice.concern_words import said_of
from kb.desk.bay.advice.follows_from_words import remembered
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.search import families, search_memory
from kb.desk.bay.search.entries import UPDATE
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.notes import NoteKind
from kb.nouns.recalls import RecallOnFile, RecallResult, RecallsOfConcern
from kb.nouns.vehicles import Applies, fold_id
from kb.records.store.bay import recalls as store
from kb.records.store.bay.searching import published_notes
from kb.records.store.notes import updates as update_store
from kb.vehicle.coverage import applies_to_recorded
from kb.vehicle.modules import same_module
from kb.vehicle.recalls import kind_of, settle

_KINDS = (NoteKind.BULLETIN.value, UPDATE)
_NUMBER = re.compile(r"[0-9A-Z]{3,20}")
_SHOWN = 40
"""So many letters of what is none are said again."""


@anyone_in_the_shop
def list_recalls(desk: Desk, concern_id: int) -> RecallsOfConcern:
    """Every recall and campaign on file for the concern's vehicle, as looked up. Raises NotFound."""
    return of_concern(desk, read_concern(desk, concern_id))


@anyone_in_the_shop
def put_recall(
    desk: Desk, concern_id: int, number: str, result: RecallResult, touches: bool | None = None
) -> RecallsOfConcern:
    """Write down what the look-up by VIN said of one recall; an empty result takes it back.

    `touches`: whether it touches this module or concern, where the person knows better. A number that is not
    on file is taken too: the manufacturer knows more recalls than the shop; so is an open one without its
    number. Raises NotFound and BadInput.
    """
    read_concern(desk, concern_id)
    folded = fold_id(number)
    not_named = not number.strip() and result is RecallResult.OPEN
    if not (_NUMBER.fullmatch(folded) or not_named):
        wrong = f'"{number[:_SHOWN]}" is no recall number. Enter it as the look-up shows it, such as 21V331.'
        raise BadInput(wrong, fields={"number": wrong})
    if result is RecallResult.NONE_OPEN:
        wrong = "One recall is open, not_for_this_vin or done; none_open is said of all of them."
        raise BadInput(wrong, fields={"result": wrong})
    _put(desk, concern_id, folded, result, touches)
    return list_recalls(desk, concern_id)


@anyone_in_the_shop
def put_look_up(desk: Desk, concern_id: int, result: RecallResult) -> RecallsOfConcern:
    """Write down that the look-up by VIN found none open, or (empty) take that back."""
    read_concern(desk, concern_id)
    if result not in (RecallResult.NONE_OPEN, RecallResult.TAKEN_BACK):
        wrong = "Of all recalls together only none_open can be said; name the one that is open."
        raise BadInput(wrong, fields={"result": wrong})
    _put(desk, concern_id, "", result, None)
    return list_recalls(desk, concern_id)


def settle_gate(desk: Desk, concern_id: int, result: str, *, touches: bool) -> None:
    """The recall gate said in one word: `fine` is none open, `fault` one open that is not named."""
    if result:
        said = RecallResult.NONE_OPEN if result == "fine" else RecallResult.OPEN
        _put(desk, concern_id, "", said, touches if result == "fault" else None)
        return
    for one in read_concern(desk, concern_id).recalls_said:
        _put(desk, concern_id, one.number, RecallResult.TAKEN_BACK, None)


def of_concern(desk: Desk, file: ConcernFile) -> RecallsOfConcern:
    """As `list_recalls`, of a file at hand. What is on file is remembered until something changes."""
    known = bool(file.vehicle.make.strip() and file.vehicle.model.strip())
    on_file = remembered(desk, file, "recalls", lambda: _on_file(desk, file) if known else ())
    return settle(on_file, file.recalls_said, vehicle_known=known)


def _put(desk: Desk, concern_id: int, number: str, result: RecallResult, touches: bool | None) -> None:
    store.put(
        desk.session,
        concern_id,
        number=number,
        result=result.value,
        touches=touches,
        by=desk.actor.name,
        on=desk.today,
        at=desk.now,
    )
    desk.note_down("looked up recalls", "concern", concern_id, number=number, result=result.value)


def _on_file(desk: Desk, file: ConcernFile) -> tuple[RecallOnFile, ...]:
    vehicle = file.vehicle
    ids = [note for note, kind in search_memory.index(desk, _KINDS).covering(vehicle) if kind in _KINDS]
    rows = [
        (row, kind)
        for row in published_notes(desk.session, desk.shop.id, ids)
        if (kind := kind_of(row.kind, row.source, row.title))
    ]
    if not rows:
        return ()
    coverage = update_store.coverage(desk.session, [row.id or 0 for row, _ in rows])
    known, modules = families.in_force(desk), _modules(desk, file)
    touching = _touching(desk, file, modules)
    found = []
    for row, kind in rows:
        reading = applies_to_recorded(coverage.get(row.id or 0, ()), vehicle, known)
        if reading.applies is not Applies.NO:
            named = [module for module in modules if same_module(module, row.remedy_module)]
            shared = tuple(dict.fromkeys((*touching.get(row.id or 0, ()), *named)))
            held_as = (row.id or 0, row.number, row.title, kind, reading.applies, reading.sentence)
            found.append(RecallOnFile(*held_as, shared))
    return tuple(found)


def _touching(desk: Desk, file: ConcernFile, modules: Sequence[str]) -> dict[int, tuple[str, ...]]:
    """By note, the words that it shares with the concern, or the modules of candidates that it names.

    What the advice takes to be about the concern shares with it, always.
    """
    said = said_of(file)
    shared = search_memory.index(desk, _KINDS).sharing(file.vehicle, said.text, said.codes, modules)
    about = candidates.words_of_notes_about(desk, file)
    return about | {note: words for note, kind, words in shared if kind in _KINDS}


def _modules(desk: Desk, file: ConcernFile) -> tuple[str, ...]:
    """The modules that the concern's candidates are for."""
    by_id = updates_desk.on_file(desk).by_id
    offered = candidates.on_concern(desk, file)
    return tuple(dict.fromkeys(module for one in offered for module in by_id[one.note_id].modules))
