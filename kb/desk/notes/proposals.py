"""Proposals from the bay: made by anybody, answered by the lead, read again by who made them.

What may follow what is decided in kb.nouns.bay.proposals.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from datetime import timedelta

from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.notes import checks, notes
from kb.desk.saving import changed, refuse_stale, row_of
from kb.errors import BadInput, NotAllowed
from kb.nouns.bay.proposals import (
    Proposal,
    ProposalAct,
    ProposalDraft,
    ProposalKind,
    ProposalState,
    ProposedCheck,
    after,
    refuse_empty,
)
from kb.nouns.checks import CheckDraft
from kb.nouns.notes import NoteDraft, NoteKind, NoteState
from kb.records.store.notes import proposals as store
from kb.records.tables import Proposal as Row

SHOWN_DAYS = 30
"""So long an answer stands on the home of who proposed it."""


@anyone_in_the_shop
def propose(desk: Desk, draft: ProposalDraft) -> Proposal:
    """Put something before the lead. BadInput where its kind needs more; NotFound for what is not on file."""
    draft = _about_something(desk, refuse_empty(draft))
    row = Row(
        shop_id=desk.shop.id,
        state=ProposalState.PROPOSED.value,
        made_by=desk.actor.name,
        made_at=desk.now,
        **store.columns_of(draft),
    )
    return _written(desk, row, "proposed")


@anyone_in_the_shop
def read_proposal(desk: Desk, proposal_id: int) -> Proposal:
    """One proposal as it stands; NotFound if there is none."""
    return store.told(_row(desk, proposal_id))


@anyone_in_the_shop
def list_proposals(
    desk: Desk,
    states: Collection[ProposalState] = (),
    *,
    mine: bool = False,
    concern_id: int | None = None,
    note_id: int | None = None,
) -> tuple[Proposal, ...]:
    """Those that fit, the newest first: of these states, one's own, of a concern, about or behind a note."""
    by = desk.actor.name if mine else ""
    found = store.find(
        desk.session, desk.shop.id, states=states, made_by=by, concern_id=concern_id, note_id=note_id
    )
    return tuple(found)


@lead_or_owner
def count_open(desk: Desk) -> int:
    """How many wait for an answer."""
    return store.count(desk.session, desk.shop.id, ProposalState.PROPOSED)


@anyone_in_the_shop
def waiting_and_answered(desk: Desk) -> tuple[Proposal, ...]:
    """One's own that wait, and those answered in the last SHOWN_DAYS days."""
    since = desk.now - timedelta(days=SHOWN_DAYS)
    mine = list_proposals(desk, mine=True)
    heard = (one for one in mine if one.is_open or (one.answered_at is not None and one.answered_at >= since))
    return tuple(one for one in heard if one.state is not ProposalState.WITHDRAWN)


@anyone_in_the_shop
def withdraw(desk: Desk, proposal_id: int, version: int) -> Proposal:
    """Take one's own proposal back before it is answered."""
    row = _row(desk, proposal_id)
    if row.made_by != desk.actor.name:
        raise NotAllowed("Only who proposed it takes it back; the lead declines it with a line.")
    return _answered(desk, row, version, ProposalAct.WITHDRAW)


@lead_or_owner
def decline(desk: Desk, proposal_id: int, version: int, answer: str) -> Proposal:
    """Say no, with a line for who proposed it; BadInput without one."""
    return _answered(desk, _row(desk, proposal_id), version, ProposalAct.DECLINE, answer)


@lead_or_owner
def publish_lesson(
    desk: Desk, proposal_id: int, version: int, answer: str = "", draft: NoteDraft | None = None
) -> Proposal:
    """Write the proposed lesson as a published note, or `draft`, the lead's own wording of it."""
    row = _of_kind(desk, proposal_id, ProposalKind.LESSON)
    said = store.told(row).content.lesson or NoteDraft(NoteKind.LESSON, "")
    proposed = replace(said, state=NoteState.PUBLISHED)
    content = proposed if draft is None else notes.held_to_the_rules(desk, draft)
    act = ProposalAct.TAKE if content == proposed else ProposalAct.CHANGE
    _may(row, version, act)
    note = notes.write_note(desk, content)
    return _answered(desk, row, version, act, answer, made_note_id=note.id)


@lead_or_owner
def correct_note(
    desk: Desk, proposal_id: int, version: int, note_version: int, draft: NoteDraft, answer: str = ""
) -> Proposal:
    """Save the note as the lead corrects it after what somebody read in the bulletin."""
    row = _of_kind(desk, proposal_id, ProposalKind.SAYS_OTHERWISE)
    _may(row, version, ProposalAct.TAKE)
    why = f"{row.made_by}: {store.told(row).content.says}"[:300]
    note = notes.change_note(desk, row.note_id or 0, note_version, draft, why)
    return _answered(desk, row, version, ProposalAct.TAKE, answer, made_note_id=note.id)


@lead_or_owner
def add_check(desk: Desk, proposal_id: int, version: int, draft: CheckDraft, answer: str = "") -> Proposal:
    """Offer the proposed check from now on, with the lead's guesses of what it tells."""
    row = _of_kind(desk, proposal_id, ProposalKind.BETTER_CHECK)
    proposed = store.told(row).content.check
    act = ProposalAct.TAKE if proposed == said_in(draft) else ProposalAct.CHANGE
    _may(row, version, act)
    check = checks.add_check(desk, draft)
    return _answered(desk, row, version, act, answer, made_check_id=check.id)


def said_in(draft: CheckDraft) -> ProposedCheck:
    """What of a check whoever proposes it says."""
    return ProposedCheck(draft.name, draft.question, draft.yes_word, draft.no_word, draft.minutes)


def _about_something(desk: Desk, draft: ProposalDraft) -> ProposalDraft:
    if draft.concern_id is not None:
        read_concern(desk, draft.concern_id)
    if draft.note_id is not None:
        notes.read_note(desk, draft.note_id)
    if draft.lesson is None:
        return draft
    lesson = replace(draft.lesson, kind=NoteKind.LESSON, state=NoteState.DRAFT, source="shop", identity="")
    return replace(draft, lesson=notes.held_to_the_rules(desk, lesson))


def _may(row: Row, version: int, act: ProposalAct, answer: str = "") -> ProposalState:
    by = row.answered_by or row.made_by
    refuse_stale(row, version, f"{by} answered this proposal meanwhile: it is {row.state}.", state=row.state)
    return after(ProposalState(row.state), act, answer)


def _answered(
    desk: Desk, row: Row, version: int, act: ProposalAct, answer: str = "", **made: int | None
) -> Proposal:
    state = _may(row, version, act, answer)
    columns = {"state": state.value, "answer": answer.strip(), "answered_by": desk.actor.name, **made}
    return _written(desk, changed(row, columns | {"answered_at": desk.now}), state.value)


def _written(desk: Desk, row: Row, did: str) -> Proposal:
    """The trail names the concern or note that it is about: an undo of an import leaves that alone."""
    noun, noun_id = ("concern", row.concern_id) if row.concern_id is not None else ("note", row.note_id)
    desk.session.add(row)
    desk.session.flush()
    desk.note_down(f"proposal {did}", noun, noun_id, proposal=row.id, kind=row.kind)
    return store.told(row)


def _row(desk: Desk, proposal_id: int) -> Row:
    return row_of(desk, Row, proposal_id, "There is no such proposal.")


def _of_kind(desk: Desk, proposal_id: int, kind: ProposalKind) -> Row:
    row = _row(desk, proposal_id)
    if row.kind != kind.value:
        raise BadInput(f"This proposal is no {kind.value.replace('_', ' ')}: it is answered in another way.")
    return row
