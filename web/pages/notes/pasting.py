"""Write from a paste: the text of a bulletin, the proposals beside it, and the draft that they make."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from api.who_may import decided_by
from kb.desk.notes import note_faults, notes, reading_papers
from kb.errors import BadInput, KbError, Unreadable
from web.forms import TypedForm
from web.labels import choices
from web.pages.notes import paste_groups, paste_rows
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/notes/paste")


def _begin(visit: Visit, refused: KbError | None = None) -> Response:
    return visit.page("notes/paste.html", place="/notes", refused=refused)


def _proposals(visit: Visit, refused: KbError | None = None) -> Response:
    rows = paste_rows.posted_rows(visit.typed)
    return _beside(visit, visit.typed.raw("text"), visit.typed.text("file_name"), rows, refused)


def _beside(
    visit: Visit,
    text: str,
    file_name: str,
    rows: tuple[paste_rows.Row, ...],
    refused: KbError | None = None,
) -> Response:
    return visit.page(
        "notes/proposals.html",
        place="/notes",
        text=text,
        file_name=file_name,
        groups=list(paste_groups.grouped(rows)),
        pieces=list(paste_groups.marked(text, rows)),
        remedies=choices("remedy"),
        code_kinds=choices("code_kind"),
        too_many=len(rows) >= paste_rows.MOST_ROWS,
        refused=refused,
    )


@router.get("")
def show(visit: Somebody) -> Response:
    visit.only("lead", "owner")
    return _begin(visit)


@router.post("")
@decided_by(notes.write_note)
@shown_again(_begin, BadInput, Unreadable)
def read(visit: Somebody) -> Response:
    """Read what was pasted, or the file, into proposals; nothing is saved."""
    text, file_name = _text_of(visit.typed)
    with visit.reading() as desk:
        found = reading_papers.read_paper(desk, text)
    return _beside(visit, text, file_name, paste_rows.rows_of(found))


@router.post("/take")
@decided_by(notes.write_note)
def take_group(visit: Somebody) -> Response:
    """The proposals again, all that was read for one group of fields ticked; nothing is saved."""
    typed = visit.typed
    rows = paste_groups.with_group_taken(paste_rows.posted_rows(typed), typed.text("group"))
    return _beside(visit, typed.raw("text"), typed.text("file_name"), rows)


@router.post("/draft")
@shown_again(_proposals)
def save(visit: Somebody) -> Response:
    """The accepted rows become a draft, by the way that the form of a note goes."""
    rows, typed = paste_rows.posted_rows(visit.typed), visit.typed
    draft = paste_rows.draft_of(rows, typed.raw("text"), typed.text("file_name"))
    with visit.writing() as desk:
        note = notes.write_note(desk, draft)
    warned = note_faults.secret_warnings(draft)
    return visit.go(
        f"/notes/{note.id}", said=" ".join(("Saved as a draft: publish it once it is right.", *warned))
    )


def _text_of(typed: TypedForm) -> tuple[str, str]:
    """The text to read and the name of its file; BadInput where a text and a file were given."""
    file, pasted = typed.file("file"), typed.text("text")
    if file is None:
        return pasted, ""
    if pasted:
        said = (
            "Paste the text or choose a file, not both. The text is still here; choose the file again if you "
            "meant it."
        )
        raise BadInput(said, fields={"file": "a text is pasted already"})
    name = file.filename or ""
    return reading_papers.paper_text(name, file.file.read()).replace("\r\n", "\n"), name
