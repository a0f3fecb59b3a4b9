"""Writing and correcting notes; two people who save at once both keep their text."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from fastapi import APIRouter
from starlette.responses import Response

from api.who_may import decided_by
from kb.desk.bay.advice import checks_on_file, newer_unknown
from kb.desk.bay.concern import odd_entries
from kb.desk.context import Desk
from kb.desk.notes import alike_notes, note_faults, notes, proposals
from kb.errors import BadInput, Conflict, KbError
from kb.nouns.notes import NoteDraft, NoteKind
from web import note_form, speaks_against_form
from web.forms import TypedForm
from web.labels import choices
from web.pages.notes.answering import INBOX
from web.query_values import OptionalId, number_asked
from web.search_results import LONGEST_ASKED, ConcernId
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter()


def _form(
    visit: Visit,
    begin: NoteDraft | None = None,
    *,
    note_id: int | None = None,
    version: int = 0,
    refused: KbError | None = None,
    theirs: object = None,
    proposal_id: int | None = None,
    alike: object = None,
) -> Response:
    """`proposal_id`: the note is corrected after what somebody read in it, and that is answered with it."""
    with visit.reading() as desk:
        offered = checks_on_file.list_checks(desk)
        answers = proposals.read_proposal(desk, proposal_id) if proposal_id else None
    return visit.page(
        "notes/form.html",
        place="/notes",
        begin=note_form.as_typed(begin) if begin else {},
        against=speaks_against_form.rows(visit.typed, begin.speaks_against if begin else ()),
        checks=speaks_against_form.checks_to_choose(offered),
        note_id=note_id,
        version=version,
        theirs=theirs,
        proposal=answers,
        alike=alike,
        systems=note_form.SYSTEMS,
        remedies=choices("remedy"),
        refused=refused,
    )


@router.get("/notes/new/{kind}")
def show_new(
    visit: Somebody, kind: str, for_concern: ConcernId = 0, module: str = "", symptom: str = ""
) -> Response:
    """`for_concern` and `module`: a bulletin begun with what the look-up on that concern says; `symptom`: a
    note begun with words that found nothing.
    """
    visit.only("lead", "owner")
    if for_concern:
        with visit.reading() as desk:
            begun = newer_unknown.bulletin_for(desk, for_concern, module)
        return _form(visit, begun)
    known = NoteKind(kind) if kind in set(NoteKind) else NoteKind.LESSON
    return _form(visit, NoteDraft(known, "", symptom=symptom[:LONGEST_ASKED]))


@router.post("/notes/new/{kind}")
@shown_again(_form)
def write(visit: Somebody, kind: str) -> Response:
    draft = note_form.draft(visit.typed)
    _ask_about_twin(visit, draft, None)
    with visit.writing() as desk:
        note = notes.write_note(desk, draft)
    return visit.go(f"/notes/{note.id}", said=_saved(draft))


@router.post("/notes/alike")
@decided_by(notes.write_note)
@decided_by(notes.write_note)
def look_for_alike(visit: Somebody) -> Response:
    """Notes on the same thing as what is typed: the form with them, or (`part=alike`) they alone."""
    typed = visit.typed
    note_id = number_asked(typed.text("note_id"), "note_id")
    answers = number_asked(typed.text("proposal"), "proposal")
    form = partial(_form, visit, note_id=note_id, version=typed.whole("version") or 0, proposal_id=answers)
    try:
        draft = note_form.draft(typed)
    except BadInput as refused:
        return form(refused=refused)
    with visit.reading() as desk:
        found = alike_notes.alike_notes(desk, draft, note_id)
    if visit.wants_part == "alike":
        return visit.page("notes/alike.html", alike=found, dealing=0)
    return form(alike=found)


@router.get("/notes/{note_id}/edit")
def show_edit(visit: Somebody, note_id: int, proposal: OptionalId = None) -> Response:
    visit.only("lead", "owner")
    with visit.reading() as desk:
        note = notes.read_note(desk, note_id)
    return _form(visit, note.content, note_id=note_id, version=note.version, proposal_id=proposal)


@router.post("/notes/{note_id}/edit")
def save(visit: Somebody, note_id: int) -> Response:
    """A stale version shows both texts; saving again from there puts one's own in place."""
    typed = visit.typed
    answers = number_asked(typed.text("proposal"), "proposal")
    try:
        draft = note_form.draft(typed)
        _ask_about_twin(visit, draft, note_id)
        with visit.writing() as desk:
            kept = notes.read_note(desk, note_id).content.documents  # the form does not show them
            _put(desk, typed, note_id, replace(draft, documents=kept), answers)
    except BadInput as refused:
        version = typed.whole("version") or 0
        return _form(visit, note_id=note_id, version=version, refused=refused, proposal_id=answers)
    except Conflict as conflict:
        return _conflict(visit, note_id, conflict)
    return visit.go(INBOX if answers else f"/notes/{note_id}", said=_saved(draft))


def _put(desk: Desk, typed: TypedForm, note_id: int, draft: NoteDraft, answers: int | None) -> None:
    version = typed.must_whole("version", "version")
    if answers is None:
        notes.change_note(desk, note_id, version, draft, typed.text("why"))
        return
    read_at = typed.must_whole("proposal_version", "version")
    proposals.correct_note(desk, answers, read_at, version, draft, typed.text("answer"))


def _ask_about_twin(visit: Visit, draft: NoteDraft, note_id: int | None) -> None:
    """Raise BadInput once where this number is published already; ticking the box saves it all the same."""
    if visit.typed.ticked("second"):
        return
    with visit.reading() as desk:
        twin = odd_entries.published_already(desk, draft, note_id)
    if twin:
        raise BadInput(
            f"{draft.number} of this make is published already: “{twin}”. Correct that one, or tick "
            "“save it as a second one” below.",
            fields={"second": twin},
        )


def _conflict(visit: Visit, note_id: int, conflict: Conflict) -> Response:
    with visit.reading() as desk:
        theirs = notes.read_note(desk, note_id)
    return _form(visit, note_id=note_id, version=theirs.version, refused=conflict, theirs=theirs)


def _saved(draft: NoteDraft) -> str:
    return " ".join(("Saved.", *note_faults.secret_warnings(draft)))
