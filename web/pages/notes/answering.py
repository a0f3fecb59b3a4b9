"""The lead's answers to what the bay proposes: published, changed, or declined with a line back."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.notes import proposals
from kb.desk.notes.alike_notes import alike_notes
from kb.errors import BadInput, KbError
from kb.nouns.bay.proposals import Proposal
from kb.nouns.checks import CheckDraft
from kb.nouns.notes import NoteDraft
from kb.nouns.starting_checks import System
from web import note_form
from web.labels import choices
from web.pages.notes.proposing import about, check_as_typed, check_typed
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/proposals/{proposal_id}")
INBOX = "/queues/proposals"


def _page(visit: Visit, proposal_id: int, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        it = proposals.read_proposal(desk, proposal_id)
        lesson = it.content.lesson if visit.may("lead", "owner") and it.is_open else None
        context = about(desk, it) | {"alike": alike_notes(desk, lesson) if lesson else None}
    mine = it.made_by == visit.actor.name
    return visit.page(
        "proposals/proposal.html",
        place="/notes",
        it=it,
        mine=mine,
        refused=refused,
        address=f"/proposals/{proposal_id}",
        **context,
    )


def _form(visit: Visit, proposal_id: int, template: str, refused: KbError | None) -> Response:
    visit.only("lead", "owner")
    with visit.reading() as desk:
        it = proposals.read_proposal(desk, proposal_id)
        concern = about(desk, it)["concern"]
    lesson, check = it.content.lesson, it.content.check
    return visit.page(
        f"proposals/{template}.html",
        place="/notes",
        proposal=it,
        concern=concern,
        begin=note_form.as_typed(lesson) if lesson else check_as_typed(check) if check else {},
        action=f"/proposals/{proposal_id}/{template}",
        systems=choices("check_system"),
        refused=refused,
    )


def _lesson(visit: Visit, proposal_id: int, refused: KbError | None = None) -> Response:
    return _form(visit, proposal_id, "lesson", refused)


def _check(visit: Visit, proposal_id: int, refused: KbError | None = None) -> Response:
    return _form(visit, proposal_id, "check", refused)


@router.get("")
def show(visit: Somebody, proposal_id: int) -> Response:
    return _page(visit, proposal_id)


@router.post("/answer")
@shown_again(_page)
def answer(visit: Somebody, proposal_id: int) -> Response:
    """Publish a lesson as it is proposed, or decline whatever it is with a line."""
    typed = visit.typed
    act, line, version = typed.text("act"), typed.text("answer"), typed.must_whole("version", "version")
    if act not in {"publish", "decline"}:
        raise BadInput("Tap Publish or Decline.", fields={"act": "publish or decline"})
    with visit.writing() as desk:
        if act == "publish":
            it = proposals.publish_lesson(desk, proposal_id, version, line)
        else:
            it = proposals.decline(desk, proposal_id, version, line)
    return _answered(visit, it)


@router.get("/lesson")
def show_lesson(visit: Somebody, proposal_id: int) -> Response:
    return _lesson(visit, proposal_id)


@router.post("/lesson")
@shown_again(_lesson)
def publish_changed(visit: Somebody, proposal_id: int) -> Response:
    typed = visit.typed
    draft: NoteDraft = note_form.draft(typed)
    with visit.writing() as desk:
        version = typed.must_whole("version", "version")
        it = proposals.publish_lesson(desk, proposal_id, version, typed.text("answer"), draft)
    return _answered(visit, it)


@router.get("/check")
def show_check(visit: Somebody, proposal_id: int) -> Response:
    return _check(visit, proposal_id)


@router.post("/check")
@shown_again(_check)
def add_check(visit: Somebody, proposal_id: int) -> Response:
    typed, said = visit.typed, check_typed(visit.typed)
    guesses = {name: typed.number(name) for name in ("yes_in_10_cured", "yes_in_10_not")}
    missing = {name: "from 0 to 10" for name, value in guesses.items() if value is None}
    if missing:
        raise BadInput("Say what it tells: of 10 cured and of 10 not, how many say yes.", fields=missing)
    draft = CheckDraft(
        said.name,
        said.question,
        said.yes_word,
        said.no_word,
        guesses["yes_in_10_cured"] or 0.0,
        guesses["yes_in_10_not"] or 0.0,
        system=typed.text("system") or System.ALL.value,
        minutes=said.minutes,
    )
    with visit.writing() as desk:
        version = typed.must_whole("version", "version")
        it = proposals.add_check(desk, proposal_id, version, draft, typed.text("answer"))
    return _answered(visit, it)


def _answered(visit: Visit, it: Proposal) -> Response:
    said = "Declined." if it.state.value == "declined" else "Done: it counts from the next search on."
    return visit.go(INBOX, said=f"{said} {visit.name_of(it.made_by)} reads your answer.")
