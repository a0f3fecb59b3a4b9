"""Notes: bulletins and lessons."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import Query
from starlette.responses import Response

from api.deps import Id, SignedInCall
from api.description.refusals import CONFLICT
from api.downloads import MEDIA_TYPES, file_to_save
from api.routing import Router
from api.schemas.base import Word
from api.schemas.notes import (
    AlikeOut,
    LookedAtOut,
    MergeBody,
    NoteBody,
    NoteChange,
    NoteDecision,
    NoteLookedAt,
    NoteOut,
    NotePageOut,
    NoteRestored,
    PaperBody,
    PaperOut,
    RevisionOut,
)
from kb.desk.notes import keeping, merging_notes, notes, notes_out, reading_papers
from kb.desk.notes.alike_notes import alike_notes
from kb.nouns.notes import Note, NoteKind, NoteState

router = Router(prefix="/notes", tags=["notes"])
_AS_FILES: dict[int | str, dict[str, Any]] = {
    200: {
        "content": {form.partition(";")[0]: {"schema": {"type": "string"}} for form in MEDIA_TYPES.values()}
    }
}


@router.get("")
def list_notes(
    call: SignedInCall,
    kind: NoteKind | None = None,
    state: NoteState | None = None,
    make: Word = "",
    q: Word = "",
    page: Annotated[int, Query(ge=1, le=100_000)] = 1,
) -> NotePageOut:
    """A page of 50, the newest change first."""
    with call.reading() as desk:
        found = notes.list_notes(desk, notes.NoteFilter(kind, state, make, q, page))
    return NotePageOut.of(found, notes=found.lines)


@router.post("", status_code=201)
def write_note(body: NoteBody, call: SignedInCall) -> NoteOut:
    """A new note; drafts are never offered."""
    with call.writing() as desk:
        return _out(notes.write_note(desk, body.draft()))


@router.get("/export", response_class=Response, responses=_AS_FILES)
def export_notes(call: SignedInCall, format: Literal["csv", "jsonl"] = "csv") -> Response:  # noqa: A002
    """Every note, retired ones and drafts too, as a file that an import of the format `notes` reads back."""
    with call.reading() as desk:
        return file_to_save(notes_out.export_notes(desk, format), "notes", format)


@router.post("/read")
def read_paper(body: PaperBody, call: SignedInCall) -> PaperOut:
    """What the text of a bulletin or recall proposes for a note, each value with the words that it was read
    from; a year, a code, a sentence each. Nothing is saved.

    `field` is number, title, published_on, make, model, year, engine, built_from, built_to, module, old_id,
    new_id, code, symptom, condition, precaution, relearn, exact_entry, window, speaks_against, replaces or
    remedy.
    """
    with call.reading() as desk:
        return PaperOut.model_validate(reading_papers.read_paper(desk, body.text))


@router.post("/alike")
def look_for_alike(body: NoteBody, call: SignedInCall) -> list[AlikeOut]:
    """Notes on file on the same thing as this one, at most five, the surest first. Nothing is saved."""
    with call.reading() as desk:
        found = alike_notes(desk, body.draft())
    return [
        AlikeOut.of(
            one.note.content, id=one.note.id, why=[w.name.lower() for w in one.why], differs=one.differs
        )
        for one in found
    ]


@router.get("/{note_id}")
def read_note(note_id: Id, call: SignedInCall) -> NoteOut:
    """The note as it stands."""
    with call.reading() as desk:
        return _out(notes.read_note(desk, note_id))


@router.put("/{note_id}", responses=CONFLICT)
def change_note(note_id: Id, body: NoteChange, call: SignedInCall) -> NoteOut:
    """Save over `version`. If somebody saved since: 409, with `yours` and `theirs` in `details`."""
    with call.writing() as desk:
        return _out(notes.change_note(desk, note_id, body.version, body.draft(), body.why))


@router.get("/{note_id}/revisions")
def list_revisions(note_id: Id, call: SignedInCall) -> list[RevisionOut]:
    """Every version that was ever saved, the newest first."""
    with call.reading() as desk:
        return [RevisionOut.model_validate(one) for one in notes.list_revisions(desk, note_id)]


@router.post("/{note_id}/publish", responses=CONFLICT)
def publish_note(note_id: Id, body: NoteDecision, call: SignedInCall) -> NoteOut:
    """Let a draft be found and offered."""
    with call.writing() as desk:
        return _out(notes.publish_note(desk, note_id, body.version, body.why))


@router.post("/{note_id}/retire", responses=CONFLICT)
def retire_note(note_id: Id, body: NoteDecision, call: SignedInCall) -> NoteOut:
    """Let it no longer be found; what was recorded with it stays."""
    with call.writing() as desk:
        return _out(notes.retire_note(desk, note_id, body.version, body.why))


@router.post("/{note_id}/looked-at", responses=CONFLICT)
def look_at_note(note_id: Id, body: NoteLookedAt, call: SignedInCall) -> LookedAtOut:
    """Say that the note was looked at today and is still right."""
    with call.writing() as desk:
        return LookedAtOut.model_validate(keeping.look_at(desk, note_id, body.version, body.again_on))


@router.get("/{note_id}/looked-at")
def last_look(note_id: Id, call: SignedInCall) -> LookedAtOut:
    """When the note was last looked at."""
    with call.reading() as desk:
        return LookedAtOut.model_validate(notes.read_note(desk, note_id))


@router.post("/{note_id}/restore", responses=CONFLICT)
def restore_note(note_id: Id, body: NoteRestored, call: SignedInCall) -> NoteOut:
    """Save an old version's content as a new one; the state stays."""
    with call.writing() as desk:
        return _out(keeping.restore(desk, note_id, body.version, body.old_version))


@router.post("/{note_id}/merge")
def merge_notes(note_id: Id, body: MergeBody, call: SignedInCall) -> NoteOut:
    """Let a duplicate go up in this one."""
    with call.writing() as desk:
        return _out(merging_notes.merge_notes(desk, note_id, body.duplicate_id))


def _out(note: Note) -> NoteOut:
    return NoteOut.of(note.content, id=note.id, version=note.version, author=note.author)
