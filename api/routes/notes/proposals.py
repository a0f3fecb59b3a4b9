"""Proposals from the bay to the lead."""

from __future__ import annotations

from api.deps import Id, SignedInCall
from api.description.refusals import CONFLICT
from api.routing import Router
from api.schemas.notes import ContentOut
from api.schemas.proposals import (
    CheckDecision,
    CorrectionDecision,
    LessonDecision,
    ProposalBody,
    ProposalDecision,
    ProposalOut,
)
from kb.desk.notes import proposals
from kb.desk.notes.lesson_of_concern import lesson_of
from kb.nouns.bay.proposals import ProposalState
from kb.nouns.checks import CheckDraft

router = Router(tags=["proposals"])


@router.get("/concerns/{concern_id}/lesson")
def begin_lesson(concern_id: Id, call: SignedInCall) -> ContentOut:
    """The lesson of a concern, begun with what is on its file. Nothing is saved."""
    with call.reading() as desk:
        return ContentOut.model_validate(lesson_of(desk, concern_id))


@router.get("/proposals")
def list_proposals(
    call: SignedInCall, state: ProposalState | None = None, mine: bool = False
) -> list[ProposalOut]:
    """The newest first."""
    with call.reading() as desk:
        found = proposals.list_proposals(desk, [state] if state else (), mine=mine)
    return [ProposalOut.told(one) for one in found]


@router.post("/proposals", status_code=201)
def propose(body: ProposalBody, call: SignedInCall) -> ProposalOut:
    """Put something before the lead. Nothing of it is found or offered until it is taken."""
    with call.writing() as desk:
        return ProposalOut.told(proposals.propose(desk, body.draft()))


@router.get("/proposals/{proposal_id}")
def read_proposal(proposal_id: Id, call: SignedInCall) -> ProposalOut:
    """One proposal as it stands."""
    with call.reading() as desk:
        return ProposalOut.told(proposals.read_proposal(desk, proposal_id))


@router.post("/proposals/{proposal_id}/publish", responses=CONFLICT)
def publish_lesson(proposal_id: Id, body: LessonDecision, call: SignedInCall) -> ProposalOut:
    """Write the lesson as a published note."""
    draft = body.lesson.draft() if body.lesson else None
    with call.writing() as desk:
        done = proposals.publish_lesson(desk, proposal_id, body.version, body.answer, draft)
    return ProposalOut.told(done)


@router.post("/proposals/{proposal_id}/correct", responses=CONFLICT)
def correct_note(proposal_id: Id, body: CorrectionDecision, call: SignedInCall) -> ProposalOut:
    """Save the note as it is corrected after what somebody read in the bulletin."""
    note = body.note.draft()
    with call.writing() as desk:
        done = proposals.correct_note(desk, proposal_id, body.version, body.note_version, note, body.answer)
    return ProposalOut.told(done)


@router.post("/proposals/{proposal_id}/add-check", responses=CONFLICT)
def add_proposed_check(proposal_id: Id, body: CheckDecision, call: SignedInCall) -> ProposalOut:
    """Offer the proposed check from now on."""
    with call.writing() as desk:
        draft = body.check.as_value(CheckDraft, desk.shop.currency)
        return ProposalOut.told(proposals.add_check(desk, proposal_id, body.version, draft, body.answer))


@router.post("/proposals/{proposal_id}/decline", responses=CONFLICT)
def decline(proposal_id: Id, body: ProposalDecision, call: SignedInCall) -> ProposalOut:
    """Say no, with a line for who proposed it."""
    with call.writing() as desk:
        return ProposalOut.told(proposals.decline(desk, proposal_id, body.version, body.answer))


@router.post("/proposals/{proposal_id}/withdraw", responses=CONFLICT)
def withdraw(proposal_id: Id, body: ProposalDecision, call: SignedInCall) -> ProposalOut:
    """Take one's own proposal back before it is answered."""
    with call.writing() as desk:
        return ProposalOut.told(proposals.withdraw(desk, proposal_id, body.version))
