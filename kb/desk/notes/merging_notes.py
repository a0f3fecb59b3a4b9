"""Two notes that say the same: one is kept, what was counted for the other moves there, and may move back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from kb.desk.bay.outcomes.observed import renew_outcomes
from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.notes.notes import NoteLine, lines_for, read_note, save_content
from kb.errors import BadInput, NotFound
from kb.nouns.notes import Note, NoteState
from kb.records.store.notes import note_references as references
from kb.records.store.notes import notes as store
from kb.records.store.outcomes import outcome_counts as count_store
from kb.records.store.shop import shop as shop_store

MOST_CANDIDATES = 20


@dataclass(frozen=True, slots=True)
class MergePreview:
    """What a merge would do: the note that stays, the one that goes, and how many rows would move."""

    kept: Note
    duplicate: Note
    would_move: int


@anyone_in_the_shop
def merged_into(desk: Desk, note_id: int) -> Note | None:
    """The note that a retired duplicate went to, or None."""
    kept_id = store.merged_into_of(desk.session, desk.shop.id, note_id)
    return None if kept_id is None else read_note(desk, kept_id)


@lead_or_owner
def notes_to_keep(desk: Desk, duplicate_id: int, typed: str) -> tuple[NoteLine, ...]:
    """Published notes and drafts whose printed number or title is like what was typed, exact numbers first.

    Database ids are never looked at. Raises BadInput where nothing was typed.
    """
    if not typed.strip():
        raise BadInput("Type the number, or words of the title.", fields={"like": "needed"})
    found = [
        one
        for one in lines_for(desk, typed, MOST_CANDIDATES * 2)
        if one.id != duplicate_id and one.state is not NoteState.RETIRED
    ]
    exact = typed.strip().casefold()
    return tuple(sorted(found, key=lambda one: one.number.casefold() != exact)[:MOST_CANDIDATES])


@lead_or_owner
def preview_merge(desk: Desk, keep_id: int, duplicate_id: int) -> MergePreview:
    """What to look at before merging. Raises as `merge_notes` does, and changes nothing."""
    kept, duplicate = _pair(desk, keep_id, duplicate_id)
    return MergePreview(kept, duplicate, references.count_records(desk.session, duplicate_id))


@lead_or_owner
def merge_notes(desk: Desk, keep_id: int, duplicate_id: int) -> Note:
    """Retire the duplicate; its outcomes and the concerns it was a candidate of count to the kept note."""
    kept, duplicate = _pair(desk, keep_id, duplicate_id)
    retired = replace(duplicate.content, state=NoteState.RETIRED)
    named = " · ".join(part for part in (kept.content.number, kept.content.title) if part)
    save_content(desk, duplicate, retired, "merged", f"Duplicate of {named}")
    store.set_merged_into(desk.session, duplicate_id, keep_id)
    moved = references.move_records(desk.session, duplicate_id, keep_id)
    renew_outcomes(desk, count_store.concerns_with_more(desk.session, [keep_id]))
    desk.bump("outcomes")
    desk.note_down(
        "merged", "note", keep_id, duplicate=duplicate_id, state=duplicate.content.state.value, moved=moved
    )
    return kept


@lead_or_owner
def unmerge_note(desk: Desk, duplicate_id: int) -> Note:
    """Take a merge back: the duplicate is a note of its own again, and what had moved moves back to it.

    What was counted for the kept note since stays there. Raises BadInput where the note is no duplicate, or
    where the kept note was itself merged since.
    """
    kept = merged_into(desk, duplicate_id)
    if kept is None:
        raise BadInput("This note was not merged into another one.")
    if merged_into(desk, kept.id) is not None:
        raise BadInput("The note it went to was merged on since. Take that merge back first.")
    before, entry = read_note(desk, duplicate_id), _entry_of_merge(desk, kept.id, duplicate_id)
    store.set_merged_into(desk.session, duplicate_id, None)
    again = replace(before.content, state=NoteState(entry.get("state", NoteState.DRAFT)))
    note = save_content(desk, before, again, "unmerged", "The merge was taken back")
    references.move_back(desk.session, duplicate_id, kept.id, entry["moved"])
    renew_outcomes(desk, count_store.concerns_with_more(desk.session, [kept.id, duplicate_id]))
    desk.bump("outcomes")
    desk.note_down("took back the merge of", "note", kept.id, duplicate=duplicate_id)
    return note


def _pair(desk: Desk, keep_id: int, duplicate_id: int) -> tuple[Note, Note]:
    if keep_id == duplicate_id:
        raise BadInput("A note cannot be merged with itself.", fields={"duplicate_id": "the same note"})
    kept, duplicate = read_note(desk, keep_id), read_note(desk, duplicate_id)
    if kept.content.state is NoteState.RETIRED:
        raise BadInput("The note to keep is retired. Publish it first.", fields={"keep_id": "retired"})
    if merged_into(desk, duplicate_id) is not None:
        raise BadInput("This note was merged already. Take that back.", fields={"duplicate_id": "merged"})
    return kept, duplicate


def _entry_of_merge(desk: Desk, keep_id: int, duplicate_id: int) -> Mapping[str, Any]:
    """What the trail kept of the last merge of these two."""
    written = shop_store.trail(desk.session, desk.shop.id, noun="note", noun_id=keep_id)
    for row in reversed(written):
        if row.action == "merged" and row.detail.get("duplicate") == duplicate_id:
            return row.detail
    raise NotFound("Nothing is on record of that merge, so it cannot be taken back.")
