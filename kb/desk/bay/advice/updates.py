"""The updates on file, remembered until a note changes: one frozen value per notes revision."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from kb.desk.context import Desk
from kb.nouns.notes import RECALLS, CodeKind, Note, Remedy, SpeaksAgainst
from kb.records.store.bay.searching import changed_notes
from kb.records.store.notes import checks as check_store
from kb.records.store.notes import keeping as keeping_store
from kb.records.store.notes import updates as store
from kb.records.store.notes.notes import makes_of, notes_with_ids
from kb.vehicle.families import fold
from kb.vehicle.replaced import Replaced, replaced
from kb.vehicle.updates_on_file import UpdateOnFile, UpdatesOnFile

_WHOLE_NOTES = 50
"""So many whole notes are remembered at most."""
_MANY = 400
"""So many changed notes are read with all others sooner than by themselves."""
_NONE: frozenset[int] = frozenset()


def on_file(desk: Desk) -> UpdatesOnFile:
    """Every published update, from memory while no note and no check has changed."""
    key = desk.up_to("notes", "notes_removed", "settings")
    return desk.memory.renew("updates", key, lambda then, held: _renewed(desk, then, held))


def whole_note(desk: Desk, note_id: int) -> Note | None:
    """The note of an update with all that it prints, from memory while no note has changed."""
    key = (note_id, *desk.up_to("notes", "notes_removed"))
    at = ("whole note", note_id % _WHOLE_NOTES)
    return desk.memory.recall(
        at, key, lambda: notes_with_ids(desk.session, desk.shop.id, [note_id]).get(note_id)
    )


def _renewed(desk: Desk, then: Any, held: UpdatesOnFile | None) -> UpdatesOnFile:
    """Read anew as far as notes were saved since `then`; all of them where some went, or many changed."""
    notes, removed = desk.up_to("notes", "notes_removed")
    if held is None or then[1] != removed or then[0] > notes:
        return _gathered(desk, None, {}, {})
    changed = {note_id for note_id, _ in changed_notes(desk.session, desk.shop.id, then[0])}
    if len(changed) > _MANY:
        return _gathered(desk, None, {}, {})
    others = {one: update for one, update in held.by_id.items() if one not in changed}
    merged = {one: kept for one, kept in held.merged.items() if one not in changed}
    now = _gathered(desk, sorted(changed), others, merged)
    return held if now == held else now  # what rests on it alone is then seen to be good still


def _gathered(
    desk: Desk, among: list[int] | None, others: dict[int, UpdateOnFile], merged: dict[int, int]
) -> UpdatesOnFile:
    """The updates `among` some notes (None: all) beside `others`, each with the checks attached to it now."""
    attached: dict[int, set[int]] = defaultdict(set)
    for check, notes in check_store.attachments(desk.session, desk.shop.id).items():
        for note in notes:
            attached[note].add(check)
    kept = {
        one: update
        if update.checks == attached.get(one, _NONE)
        else replace(update, checks=frozenset(attached[one]))
        for one, update in others.items()
    }
    by_id = dict(sorted((kept | _read(desk, among, attached)).items()))
    merged = merged | store.merged_into(desk.session, desk.shop.id, among)
    return UpdatesOnFile(by_id, merged, _replaced(desk))


def _read(desk: Desk, among: list[int] | None, attached: Mapping[int, set[int]]) -> dict[int, UpdateOnFile]:
    rows = store.published_updates(desk.session, desk.shop.id, among)
    ids = [row.id for row in rows]
    steps, codes = store.steps(desk.session, ids), store.codes(desk.session, ids)
    lines = store.coverage(desk.session, ids)
    return {
        row.id: UpdateOnFile(
            row.id,
            row.number,
            row.title,
            row.system,
            row.conditions,
            frozenset(codes.get(row.id, ())),
            frozenset(code for code, kind in codes.get(row.id, {}).items() if kind is CodeKind.DEFINING),
            tuple(steps.get(row.id, ())),
            lines.get(row.id, ()),
            frozenset(attached.get(row.id, ())),
            tuple(SpeaksAgainst(**one) for one in row.speaks_against),
            Remedy(row.remedy),
            row.version,
            row.symptom,
            row.remedy_module,
            row.source == RECALLS,
        )
        for row in rows
    }


def _replaced(desk: Desk) -> Replaced:
    pairs = keeping_store.replacements(desk.session, desk.shop.id)
    makes = makes_of(desk.session, sorted({one for pair in pairs for one in pair}))
    return replaced(pairs, {note_id: frozenset(map(fold, some)) for note_id, some in makes.items()})
