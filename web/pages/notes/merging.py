"""Saying that a note is a duplicate: find the one to keep, look at both, merge, and take it back."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query
from starlette.responses import Response

from api.schemas.base import BIGGEST_ID
from kb.desk.notes import merging_notes, notes
from kb.errors import BadInput, KbError
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter()


def _page(
    visit: Visit, note_id: int, like: str = "", keep: int = 0, refused: KbError | None = None
) -> Response:
    found, preview = None, None
    with visit.reading() as desk:
        note = notes.read_note(desk, note_id)
        try:
            if keep:
                preview = merging_notes.preview_merge(desk, keep, note_id)
            elif like:
                found = merging_notes.notes_to_keep(desk, note_id, like)
        except BadInput as wrong:
            refused = refused or wrong
    return visit.page(
        "notes/merge.html",
        place="/notes",
        note=note,
        like=like,
        found=found,
        preview=preview,
        refused=refused,
    )


@router.get("/notes/{note_id}/merge")
def find_the_other(
    visit: Somebody,
    note_id: int,
    like: Annotated[str, Query(max_length=300)] = "",
    keep: Annotated[int, Query(ge=0, le=BIGGEST_ID)] = 0,
) -> Response:
    """Candidates for what was typed; with `keep`, the page that shows both and asks."""
    visit.only("lead", "owner")
    return _page(visit, note_id, like, keep)


@router.post("/notes/{note_id}/merge")
@shown_again(_page, KbError)
def merge(visit: Somebody, note_id: int) -> Response:
    """Here is the duplicate; the note named on the confirming page is kept."""
    keep = visit.typed.must_whole("keep", "note to keep")
    with visit.writing() as desk:
        merging_notes.merge_notes(desk, keep, note_id)
    return visit.go(f"/notes/{keep}", said="Merged: what was counted for the duplicate counts here now.")


@router.post("/notes/{note_id}/unmerge")
def unmerge(visit: Somebody, note_id: int) -> Response:
    with visit.writing() as desk:
        merging_notes.unmerge_note(desk, note_id)
    return visit.go(f"/notes/{note_id}", said="Taken back: it is a note of its own again, with its counts.")
