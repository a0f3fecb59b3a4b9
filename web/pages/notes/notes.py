"""Reading the shop's notes, and what happened to them: lists, versions, states, duplicates."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.search import results
from kb.desk.notes import keeping, lexicon, merging_notes, notes, proposals, search_words
from kb.desk.notes.alike_notes import alike_notes
from kb.desk.review import reports
from kb.errors import KbError
from kb.nouns.notes import NoteKind, NoteState
from web.pages.notes.bulk import filter_of
from web.pages.notes.queue_names import NOTE_QUEUES
from web.search_results import Asked, ConcernId, with_opening
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter()


def _gather(visit: Visit, note_id: int) -> dict[str, Any]:
    with visit.reading() as desk:
        note = notes.read_note(desk, note_id)
        led_here = search_words.words_that_led_to(desk, note_id) if _writes(visit) else ()
        concepts = lexicon.concepts_of(desk, note_id) if led_here else ()
        unsettled = _writes(visit) and note.content.state is NoteState.DRAFT
        said = proposals.list_proposals(desk, note_id=note_id)
        lesson = _writes(visit) and note.content.kind is NoteKind.LESSON
        first = notes.list_revisions(desk, note_id)[-1:] if lesson else ()
        return {
            "note": note,
            "went_to": merging_notes.merged_into(desk, note_id),
            "replaced_by": keeping.replaced_by(desk, note_id),
            "replaces": keeping.replaces(desk, note_id),
            "reflashed": _writes(visit) and reports.has_a_row(desk, note_id),
            "lesson_since": visit.day_of(first[0].saved_at) if first else None,
            "alike": alike_notes(desk, note.content, note_id) if unsettled else (),
            "led_here": led_here,
            "proposed": [one for one in said if one.is_open or one.made_by == visit.actor.name],
            "concept": concepts[0] if concepts else "",
            "shown_days": search_words.SHOWN_DAYS,
        }


def _note_page(visit: Visit, note_id: int, refused: KbError | None = None) -> Response:
    return visit.page("notes/note.html", place="/notes", refused=refused, **_gather(visit, note_id))


@router.get("/notes")
def show_list(
    visit: Somebody, kind: str = "", state: str = "", make: str = "", text: str = "", page: int = 1
) -> Response:
    with visit.reading() as desk:
        found = notes.list_notes(desk, filter_of(kind, state, make, text, page))
        vehicles = results.vehicles_of(desk, [line.id for line in found.lines])
    asked = {"kind": kind, "state": state, "make": make, "text": text}
    return visit.page("notes/list.html", place="/notes", found=found, asked=asked, vehicles=vehicles)


@router.get("/notes/{note_id}")
def show(visit: Somebody, note_id: int, asked: Asked = "", for_concern: ConcernId = 0) -> Response:
    """`asked` are the words, or `for_concern` the concern, from whose results it was opened."""
    context = _gather(visit, note_id)
    page = visit.page("notes/note.html", place="/notes", **context)
    return with_opening(visit, page, context["note"].content.kind.value, note_id, asked, for_concern)


def _revisions(visit: Visit, note_id: int, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        note = notes.read_note(desk, note_id)
        versions = notes.list_revisions(desk, note_id)
    pairs = list(zip(versions, (*versions[1:], None), strict=True))
    return visit.page("notes/revisions.html", place="/notes", note=note, pairs=pairs, refused=refused)


@router.get("/notes/{note_id}/revisions")
def show_revisions(visit: Somebody, note_id: int) -> Response:
    """Every version, each with what changed since the one before."""
    return _revisions(visit, note_id)


@router.post("/notes/{note_id}/restore")
@shown_again(_revisions)
def restore(visit: Somebody, note_id: int) -> Response:
    typed = visit.typed
    version, old = typed.must_whole("version", "version"), typed.must_whole("old_version", "version")
    with visit.writing() as desk:
        keeping.restore(desk, note_id, version, old)
    return visit.go(f"/notes/{note_id}", said=f"Version {old} stands again, as a version of its own.")


@router.post("/notes/{note_id}/looked-at")
@shown_again(_note_page, KbError)
def looked_at(visit: Somebody, note_id: int) -> Response:
    typed = visit.typed
    version, again_on = typed.must_whole("version", "version"), typed.day("again_on", ahead=True)
    with visit.writing() as desk:
        keeping.look_at(desk, note_id, version, again_on)
    return _done(visit, note_id, "Looked at: still right.")


@router.post("/notes/{note_id}/publish")
@shown_again(_note_page, KbError)
def publish(visit: Somebody, note_id: int) -> Response:
    typed = visit.typed
    with visit.writing() as desk:
        notes.publish_note(desk, note_id, typed.must_whole("version", "version"), typed.text("why"))
    return _done(visit, note_id, "Published: the next search finds it.")


@router.post("/notes/{note_id}/retire")
@shown_again(_note_page, KbError)
def retire(visit: Somebody, note_id: int) -> Response:
    typed = visit.typed
    with visit.writing() as desk:
        notes.retire_note(desk, note_id, typed.must_whole("version", "version"), typed.text("why"))
    return _done(visit, note_id, "Retired. It is kept, and no longer found.")


def _done(visit: Visit, note_id: int, said: str) -> Response:
    """Back to the queue that it was done in, else to the note."""
    queue = visit.typed.text("queue")
    return visit.go(f"/queues/{queue}" if queue in NOTE_QUEUES else f"/notes/{note_id}", said=said)


def _writes(visit: Visit) -> bool:
    return visit.may("lead", "owner")
