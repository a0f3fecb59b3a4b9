"""Keeping notes true: looked at and still right, an old version taken up again, what replaces what."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from kb.desk.bay.advice import updates as updates_desk
from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.notes import notes
from kb.desk.saving import refuse_stale
from kb.errors import BadInput, NotFound
from kb.nouns.notes import Note
from kb.records.store.notes import keeping as store
from kb.vehicle.replaced import standing_in

A_YEAR = timedelta(days=365)
LONGEST_WAIT = timedelta(days=5 * 365)


@lead_or_owner
def look_at(desk: Desk, note_id: int, version: int, again_on: date | None = None) -> Note:
    """Say that a note was looked at today and is still right; without a day it is asked again in a year.

    Conflict where it was changed since `version` was read, BadInput for a day gone by or years ahead.
    """
    note = notes.read_note(desk, note_id)
    refuse_stale(note, version, f"{note.author} changed this note meanwhile. Read it again.")
    if again_on is not None and not desk.today < again_on <= desk.today + LONGEST_WAIT:
        what = "Look again on a day to come, within five years."
        raise BadInput(what, fields={"again_on": "a day to come"})
    store.looked_at(desk.session, note_id, desk.today, desk.actor.name, again_on)
    desk.bump("notes")
    desk.note_down("looked at", "note", note_id, version=version)
    return replace(note, looked_at_on=desk.today, looked_at_by=desk.actor.name, look_again_on=again_on)


@lead_or_owner
def restore(desk: Desk, note_id: int, version: int, old_version: int) -> Note:
    """Save an old version's content as the next one; state, source and identity stay as they are now.

    Conflict where somebody saved since `version`; NotFound for a version that never was.
    """
    kept = next((one for one in notes.list_revisions(desk, note_id) if one.version == old_version), None)
    if kept is None:
        raise NotFound(f"This note never had a version {old_version}.")
    now = notes.read_note(desk, note_id)
    again = replace(kept.content, state=now.content.state)
    return notes.change_note(desk, note_id, version, again, f"Version {old_version} again")


@anyone_in_the_shop
def replaced_by(desk: Desk, note_id: int) -> tuple[Note, ...]:
    """The published notes that say they replace this one, directly or by steps, nearest first."""
    known = updates_desk.on_file(desk).replaced
    return tuple(notes.read_note(desk, one) for one in standing_in(note_id, known))


@anyone_in_the_shop
def replaces(desk: Desk, note_id: int) -> tuple[Note, ...]:
    """The notes on file that this published one says it replaces."""
    known = updates_desk.on_file(desk).replaced
    return tuple(notes.read_note(desk, old) for old, news in sorted(known.items()) if note_id in news)
