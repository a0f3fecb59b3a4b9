"""The shop's notes as a file to save."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from api.downloads import file_to_save
from kb.desk.notes import notes_out
from web.visits import Somebody

router = APIRouter()


@router.get("/notes/export/{form}")
def save(visit: Somebody, form: str) -> Response:
    """As CSV or JSON lines, whichever the link names."""
    with visit.reading() as desk:
        return file_to_save(notes_out.export_notes(desk, form), "notes", form)
