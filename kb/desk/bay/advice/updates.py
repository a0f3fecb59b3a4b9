"""The updates on file, remembered until a note changes: one frozen value per notes revision."""

from __future__ import annotations

from collections import defaultdict

from kb.desk.context import Desk
from kb.nouns.notes import RECALLS, CodeKind, Note, Remedy, SpeaksAgainst
from kb.nouns.vehicles import CalibrationStep
from kb.records.store.imports.bulk import runs
from kb.records.store.notes import keeping as keeping_store
from kb.records.store.notes import updates as store
from kb.records.store.notes.notes import calibration_step, makes_of, notes_with_ids
from kb.vehicle.families import fold
from kb.vehicle.replaced import Replaced, replaced
from kb.vehicle.updates_on_file import UpdateOnFile, UpdatesOnFile, lineages_of

_WHOLE_NOTES = 50
"""So many whole notes are remembered at most."""


def on_file(desk: Desk) -> UpdatesOnFile:
    """Every published update, from memory while no note and no check has changed."""
    key = desk.up_to("notes", "notes_removed", "settings")
    return desk.memory.recall("updates", key, lambda: _gather(desk))


def whole_note(desk: Desk, note_id: int) -> Note | None:
    """The note of an update with all that it prints, from memory while no note has changed."""
    key = (note_id, *desk.up_to("notes", "notes_removed"))
    at = ("whole note", note_id % _WHOLE_NOTES)
    return desk.memory.recall(
        at, key, lambda: notes_with_ids(desk.session, desk.shop.id, [note_id]).get(note_id)
    )


def _gather(desk: Desk) -> UpdatesOnFile:
    rows = store.published_updates(desk.session, desk.shop.id)
    ids = [row.id for row in rows if row.id is not None]
    steps: dict[int, list[CalibrationStep]] = defaultdict(list)
    codes: dict[int, dict[str, CodeKind]] = defaultdict(dict)
    checks: dict[int, set[int]] = defaultdict(set)
    lines = store.coverage(desk.session, ids)
    for some in runs(ids):
        for step in store.steps(desk.session, some):
            steps[step.note_id].append(calibration_step(step))
        for code in store.codes(desk.session, some):
            codes[code.note_id][code.code] = CodeKind(code.kind)
        for attached in store.attachments(desk.session, some):
            checks[attached.note_id].add(attached.check_id)
    by_id = {
        note_id: UpdateOnFile(
            note_id,
            row.number,
            row.title,
            row.system,
            row.conditions,
            frozenset(codes[note_id]),
            frozenset(code for code, kind in codes[note_id].items() if kind is CodeKind.DEFINING),
            tuple(steps[note_id]),
            lines.get(note_id, ()),
            frozenset(checks[note_id]),
            tuple(SpeaksAgainst(**one) for one in row.speaks_against),
            Remedy(row.remedy),
            row.version,
            row.symptom,
            row.remedy_module,
            row.source == RECALLS,
        )
        for note_id, row in zip(ids, rows, strict=True)
    }
    merged = store.merged_into(desk.session, desk.shop.id)
    return UpdatesOnFile(by_id, lineages_of(by_id), merged, _replaced(desk))


def _replaced(desk: Desk) -> Replaced:
    pairs = keeping_store.replacements(desk.session, desk.shop.id)
    makes = makes_of(desk.session, sorted({one for pair in pairs for one in pair}))
    return replaced(pairs, {note_id: frozenset(map(fold, some)) for note_id, some in makes.items()})
