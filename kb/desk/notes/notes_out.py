"""The shop's notes as a file that another shop, or this one, reads back."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from kb.desk.context import Desk, lead_or_owner
from kb.errors import BadInput
from kb.intake.notes.notes_out import FORMS, portable
from kb.records.files.checked_copy import plainly
from kb.records.files.whole_files import clear_leftovers, written_aside
from kb.records.store.notes.many_notes import every_note


@lead_or_owner
def export_notes(desk: Desk, form: str) -> Iterator[str]:
    """Every note in the form of one of FORMS, line by line; retired ones and drafts too, no revisions."""
    if form not in FORMS:
        raise BadInput(
            f"Notes are exported as {' or '.join(FORMS)}, not as {form!r}.", fields={"format": form}
        )
    notes = every_note(desk.session, desk.shop.id)
    return FORMS[form](portable(note.content for note in notes))


@lead_or_owner
def export_notes_to_file(desk: Desk, target: Path) -> None:
    """The form is that of the file's ending; the file is private, and whole or not there."""
    lines = export_notes(desk, target.suffix.removeprefix(".").lower())
    with plainly(f"Nothing was written to {target}"):
        clear_leftovers(target.parent)
        with written_aside(target) as aside, aside.open("w", encoding="utf-8", newline="") as out:
            out.writelines(lines)
