"""From the bay to the lead: a lesson of a concern, what a bulletin says otherwise, a better check."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from starlette.responses import Response

from api.who_may import decided_by
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.context import Desk
from kb.desk.notes import notes, proposals
from kb.desk.notes.lesson_of_concern import lesson_of
from kb.errors import KbError
from kb.nouns.bay.proposals import Proposal, ProposalDraft, ProposalKind, ProposedCheck
from web import note_form
from web.forms import TypedForm
from web.query_values import number_asked
from web.search_results import ConcernId
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter()
_NO_CHECK = ProposedCheck("", "", "", "")


def _lesson(visit: Visit, concern_id: int, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        concern, begun = read_concern(desk, concern_id), lesson_of(desk, concern_id)
    return visit.page(
        "proposals/lesson.html",
        place="/concerns",
        concern=concern,
        proposal=None,
        begin=note_form.as_typed(begun),
        action=f"/concerns/{concern_id}/lesson",
        refused=refused,
    )


def _check(visit: Visit, concern_id: int, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        concern = read_concern(desk, concern_id)
    return visit.page(
        "proposals/check.html",
        place="/concerns",
        concern=concern,
        proposal=None,
        begin=check_as_typed(_NO_CHECK),
        action=f"/concerns/{concern_id}/better-check",
        refused=refused,
    )


def _otherwise(visit: Visit, note_id: int, for_concern: int = 0, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        note = notes.read_note(desk, note_id)
    asked = for_concern or number_asked(visit.typed.text("for_concern"), "for_concern")
    return visit.page(
        "proposals/otherwise.html", place="/notes", note=note, for_concern=asked, refused=refused
    )


@router.get("/concerns/{concern_id}/lesson")
def show_lesson(visit: Somebody, concern_id: int) -> Response:
    return _lesson(visit, concern_id)


@router.post("/concerns/{concern_id}/lesson")
@decided_by(proposals.propose)
@shown_again(_lesson)
def make_lesson(visit: Somebody, concern_id: int) -> Response:
    """A technician's waits for the lead; a lead's own is published at once, and stays with the concern."""
    draft = ProposalDraft(ProposalKind.LESSON, concern_id, lesson=note_form.draft(visit.typed))
    with visit.writing() as desk:
        made = proposals.propose(desk, draft)
        if visit.may("lead", "owner"):
            made = proposals.publish_lesson(desk, made.id, made.version)
    return visit.go(f"/concerns/{concern_id}#learned", said=_said(made))


@router.get("/concerns/{concern_id}/better-check")
def show_check(visit: Somebody, concern_id: int) -> Response:
    return _check(visit, concern_id)


@router.post("/concerns/{concern_id}/better-check")
@shown_again(_check)
def make_check(visit: Somebody, concern_id: int) -> Response:
    check, why = check_typed(visit.typed), visit.typed.text("why")
    with visit.writing() as desk:
        draft = ProposalDraft(ProposalKind.BETTER_CHECK, concern_id, check=check, why=why)
        made = proposals.propose(desk, draft)
    if visit.may("lead", "owner"):
        return visit.go(f"/proposals/{made.id}/check", said="Written down. What does it tell?")
    return visit.go(f"/concerns/{concern_id}#learned", said=_said(made))


@router.get("/notes/{note_id}/otherwise")
def show_otherwise(visit: Somebody, note_id: int, for_concern: ConcernId = 0) -> Response:
    return _otherwise(visit, note_id, for_concern)


@router.post("/notes/{note_id}/otherwise")
@shown_again(_otherwise)
def say_otherwise(visit: Somebody, note_id: int) -> Response:
    typed = visit.typed
    concern_id = number_asked(typed.text("for_concern"), "for_concern")
    says, why = typed.text("says"), typed.text("why")
    draft = ProposalDraft(ProposalKind.SAYS_OTHERWISE, concern_id, note_id, says=says, why=why)
    with visit.writing() as desk:
        made = proposals.propose(desk, draft)
    back = f"/concerns/{concern_id}#learned" if concern_id else f"/notes/{note_id}"
    return visit.go(back, said=_said(made))


@router.post("/proposals/{proposal_id}/withdraw")
def withdraw(visit: Somebody, proposal_id: int) -> Response:
    with visit.writing() as desk:
        proposals.withdraw(desk, proposal_id, visit.typed.must_whole("version", "version"))
    return visit.go(f"/proposals/{proposal_id}", said="Taken back.")


def about(desk: Desk, it: Proposal) -> dict[str, Any]:
    """The concern that a proposal comes from and the note that it is about, each None where there is none."""
    concern_id, note_id = it.content.concern_id, it.content.note_id
    return {
        "concern": None if concern_id is None else read_concern(desk, concern_id),
        "note": None if note_id is None else notes.read_note(desk, note_id),
    }


def check_typed(typed: TypedForm) -> ProposedCheck:
    words = {"yes_word": typed.text("yes_word") or "YES", "no_word": typed.text("no_word") or "NO"}
    return ProposedCheck(**typed.texts("name", "question"), **words, minutes=typed.number("minutes") or 0.0)


def check_as_typed(check: ProposedCheck) -> dict[str, str]:
    texts = {name: getattr(check, name) for name in ("name", "question", "yes_word", "no_word")}
    return texts | {"minutes": f"{check.minutes:g}" if check.minutes else ""}


def _said(made: Proposal) -> str:
    return "Proposed: the lead sees it next." if made.is_open else "Published: the next search finds it."
