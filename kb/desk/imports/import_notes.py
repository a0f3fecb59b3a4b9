"""Taking notes from a file: which are new, which changed, which stay as they are."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from kb.desk.context import Desk, lead_or_owner
from kb.desk.notes.note_circles import steps_beside
from kb.desk.notes.note_faults import refuse_circle, tidy_note
from kb.desk.notes.speaks_against import attach_checks, refuse_unknown_checks, with_checks, with_known_keys
from kb.errors import BadInput
from kb.intake.notes.notes_out import portable, without_ids
from kb.intake.rows import ParsedNote, RowError, Severity
from kb.nouns.notes import Note, NoteDraft, NoteKind, NoteState, SpeaksAgainst
from kb.nouns.vehicles import fold_id
from kb.records.store.imports import imports as store
from kb.records.store.imports.imports import Took
from kb.records.store.notes import many_notes
from kb.records.store.notes import notes as note_store
from kb.records.store.notes.makes import left_by_history
from kb.records.store.notes.note_content import from_content, in_stored_order
from kb.records.store.notes.note_writing import Stamp, insert_notes, replace_notes


@dataclass(slots=True)
class NotePlan:
    """What would happen to the notes of one batch."""

    new: list[NoteDraft]
    changed: list[tuple[Note, NoteDraft]]
    unchanged: int
    errors: list[RowError]


@lead_or_owner
def plan_notes(desk: Desk, items: Sequence[ParsedNote], checked: bool) -> NotePlan:
    """Compare a batch with what is on file, by identity. `checked`: hold each note to the shop's rules.

    A note that a person edited since its last import is kept as it is; that is said where the file differs.
    A bulletin whose number a history left as a bare draft fills that draft, so that its outcomes count to it.
    """
    plan = NotePlan([], [], 0, [])
    drafts = _held_to_the_rules(desk, items, plan) if checked else _as_they_come(items)
    ids = note_store.ids_by_identity(desk.session, desk.shop.id, [draft.identity for _, draft in drafts])
    ids |= _named_by_history(desk, [draft for _, draft in drafts if draft.identity not in ids])
    ids |= _written_here(desk, [draft for _, draft in drafts if draft.identity not in ids])
    on_file = note_store.notes_with_ids(desk.session, desk.shop.id, ids.values())
    came = _as_imported(desk, on_file.values())
    for line, draft in drafts:
        note = on_file.get(ids.get(draft.identity, 0))
        if note is not None:
            draft = with_known_keys(draft, note.content.speaks_against)
        if note is None:
            plan.new.append(draft)
        elif _says(draft, came.get(note.id, note.content)):
            plan.unchanged += 1
        elif not note.content.identity or note.content != came.get(note.id, note.content):
            plan.unchanged += 1
            plan.errors.append(_kept(line, note, draft))
        else:
            plan.changed.append((note, draft))
    return plan


@lead_or_owner
def take_notes(desk: Desk, import_id: int, plan: NotePlan) -> None:
    """Write what the plan says. New notes stay out of the search (revision 0) until the job is done."""
    stamp = Stamp(desk.actor.name, desk.now, 0, f"import {import_id}", import_id)
    new = [with_checks(desk, draft) for draft in plan.new]
    ids = insert_notes(desk.session, desk.shop.id, new, stamp)
    made = [Took(i, draft.identity) for i, draft in zip(ids, new, strict=True)]
    changes = [
        (note.id, note.version + 1, with_checks(desk, draft, note.content.speaks_against))
        for note, draft in plan.changed
    ]
    revision = desk.revisions()["notes"]
    replace_notes(desk.session, changes, replace(stamp, revision=revision))
    made += [Took(i, draft.identity, "changed", version) for i, version, draft in changes]
    _attach(desk, [(i, (), draft) for i, draft in zip(ids, new, strict=True)])
    _attach(
        desk,
        [
            (n.id, n.content.speaks_against, d)
            for (n, _), (_, _, d) in zip(plan.changed, changes, strict=True)
        ],
    )
    store.remember(desk.session, desk.shop.id, import_id, store.NOTE, made)


def _attach(desk: Desk, saved: Iterable[tuple[int, tuple[SpeaksAgainst, ...], NoteDraft]]) -> None:
    for note_id, before, draft in saved:
        attach_checks(desk, note_id, before, draft.speaks_against)


def _named_by_history(desk: Desk, new: Sequence[NoteDraft]) -> dict[str, int]:
    """Drafts that a history made of a bare number and that a bulletin of the file now fills."""
    bulletins = {fold_id(one.number): one for one in new if one.kind is NoteKind.BULLETIN}
    found = left_by_history(desk.session, desk.shop.id, bulletins)
    return {bulletins[number].identity: note_id for number, note_id in found.items()}


def _written_here(desk: Desk, new: Sequence[NoteDraft]) -> dict[str, int]:
    """Notes that a person wrote and that an export of this shop, or a file on the same things, names."""
    numbers, titles = [one.number for one in new if one.number], [one.title for one in new]
    written = many_notes.written_here(desk.session, desk.shop.id, numbers, titles)
    named = zip(written, portable(note.content for note in written), strict=True)
    return {draft.identity: note.id for note, draft in named}


def _says(draft: NoteDraft, known: NoteDraft) -> bool:
    """Whether a file's draft is what is known, as far as files can say it."""
    known = replace(known, identity=draft.identity)
    return draft in (known, without_ids(known))


def _as_they_come(items: Sequence[ParsedNote]) -> list[tuple[int, NoteDraft]]:
    return [(item.line, in_stored_order(item.draft)) for item in items]


def _held_to_the_rules(
    desk: Desk, items: Sequence[ParsedNote], plan: NotePlan
) -> list[tuple[int, NoteDraft]]:
    good: list[tuple[int, NoteDraft]] = []
    beside = steps_beside(desk, (item.draft for item in items))
    for item in items:
        try:
            draft = tidy_note(item.draft, desk.today.year)
            refuse_unknown_checks(desk, draft)
            if draft.state is NoteState.PUBLISHED:
                others = [one for one in beside if one.identity != draft.identity]
                refuse_circle(draft, [(one.makes, one.step) for one in others])
        except BadInput as fault:
            plan.errors.append(RowError(item.line, next(iter(fault.fields), ""), fault.message))
        else:
            good.append((item.line, draft))
    return good


def _as_imported(desk: Desk, notes: Iterable[Note]) -> dict[int, NoteDraft]:
    """Each note as the last import left it, where a person has edited it since."""
    by_hash = {store.identity_hash(note.content.identity): note for note in notes}
    came: dict[int, NoteDraft] = {}
    for key, taken in store.last_taken(desk.session, desk.shop.id, store.NOTE, by_hash).items():
        note = by_hash[key]
        if taken.noun_id == note.id and taken.version != note.version:
            kept = note_store.revision_of(desk.session, note.id, taken.version)
            if kept is not None:
                came[note.id] = from_content(kept.content)
    return came


def _kept(line: int, note: Note, draft: NoteDraft) -> RowError:
    how = "edited here since it was imported" if note.content.identity else "written here"
    missing = draft.remedy and not note.content.remedy
    read = f" Its remedy is not said here; the file says {draft.remedy.replace('_', ' ')}." if missing else ""
    return RowError(
        line,
        "",
        f'"{note.content.title}" (note {note.id}) was {how}, so it was kept. Compare it with the file.{read}',
        Severity.WARNING,
    )
