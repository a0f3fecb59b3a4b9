"""Proposals from the bay: who may do what, what came of them, and the line that goes back."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.desk.bay.concern import closing, concerns, findings
from kb.desk.bay.search.search import SearchRequest, search
from kb.desk.context import RunningShop
from kb.desk.notes import checks, notes, proposals
from kb.desk.notes.lesson_of_concern import lesson_of
from kb.desk.notes.proposals import said_in
from kb.errors import BadInput, Conflict, NotAllowed, NotFound
from kb.nouns.bay.proposals import (
    Proposal,
    ProposalAct,
    ProposalDraft,
    ProposalKind,
    ProposalState,
    ProposedCheck,
    after,
)
from kb.nouns.checks import CheckDraft
from kb.nouns.concerns import CodesScanned, Ending, FindingResult, ReportedCode
from kb.nouns.notes import CodeKind, NoteCode, NoteState
from kb.nouns.people import Actor
from kb.nouns.vehicles import CoverageLine
from tests.factories import a_concern, a_note, an_update

pytestmark = pytest.mark.both_databases

LEAD, TECH, OTHER = Actor(0, "lead", "lead"), Actor(0, "tech", "tech"), Actor(0, "ines", "tech")
CHECK = ProposedCheck("Press on the hose", "Does the idle change?", "CHANGES", "STAYS", 3)


def a_closed_concern(shop: RunningShop) -> int:
    with shop.writing(TECH) as desk:
        draft = a_concern(
            complaint="idle hunts when cold",
            conditions=("cold",),
            codes=(ReportedCode("P0171"),),
            codes_scanned=CodesScanned.STORED,
            phone="555 0100",
        )
        opened = concerns.open_concern(desk, draft)
        findings.put_finding(desk, opened.id, "smoke_test", FindingResult.YES)
        closing.close_concern(desk, opened.id, Ending.OTHER_CAUSE, other_cause="split intake hose")
    return opened.id


def propose(shop: RunningShop, draft: ProposalDraft, actor: Actor = TECH) -> Proposal:
    with shop.writing(actor) as desk:
        return proposals.propose(desk, draft)


def a_lesson(shop: RunningShop, **said: Any) -> Proposal:
    concern_id = a_closed_concern(shop)
    with shop.reading(TECH) as desk:
        lesson = replace(lesson_of(desk, concern_id), **said)
    return propose(shop, ProposalDraft(ProposalKind.LESSON, concern_id, lesson=lesson))


def test_the_lesson_of_a_concern_begins_with_what_its_file_tells(shop: RunningShop) -> None:
    concern_id = a_closed_concern(shop)
    with shop.reading(TECH) as desk:
        lesson = lesson_of(desk, concern_id)
    assert lesson.title == "idle hunts when cold: split intake hose"
    assert (lesson.symptom, lesson.conditions) == ("idle hunts when cold", "cold")
    assert lesson.codes == (NoteCode("P0171", CodeKind.MAY_BE_STORED),)
    assert lesson.coverage == (CoverageLine("Norvane", "Tessel", ((2019, 2019),), "2.0 L"),)
    assert "LEAKS" in lesson.body
    assert "The cause was split intake hose." in lesson.body
    assert "RO 2087" in lesson.body
    assert "555" not in lesson.body, "no phone number in a note"


def test_a_technician_proposes_and_the_lead_publishes_it_with_a_line_back(shop: RunningShop) -> None:
    made = a_lesson(shop, title="Hunting idle when cold is a split hose")
    with pytest.raises(NotAllowed), shop.writing(TECH) as desk:
        proposals.publish_lesson(desk, made.id, made.version)
    with shop.reading(TECH) as desk:
        assert notes.list_notes(desk, notes.NoteFilter()).total == 0, "a proposal is no note yet"
    with shop.writing(LEAD) as desk:
        taken = proposals.publish_lesson(desk, made.id, made.version, "Good catch.")
    with shop.reading(TECH) as desk:
        [mine] = proposals.waiting_and_answered(desk)
        [found] = [
            one for one in search(desk, SearchRequest("idle hunts cold")).results if one.kind == "lesson"
        ]
        assert notes.read_note(desk, found.id).content.state is NoteState.PUBLISHED
    assert mine == taken
    assert (mine.state, mine.answer, mine.made_note_id) == (ProposalState.TAKEN, "Good catch.", found.id)


def test_what_the_lead_words_anew_counts_as_changed(shop: RunningShop) -> None:
    made = a_lesson(shop)
    assert made.content.lesson is not None
    own = replace(made.content.lesson, title="Split hose", state=NoteState.PUBLISHED)
    with shop.writing(LEAD) as desk:
        taken = proposals.publish_lesson(desk, made.id, made.version, "", own)
        assert notes.read_note(desk, taken.made_note_id or 0).content.title == "Split hose"
    assert taken.state is ProposalState.CHANGED


def test_a_decline_needs_a_line_and_may_be_thought_over(shop: RunningShop) -> None:
    made = a_lesson(shop)
    with pytest.raises(BadInput, match="why not"), shop.writing(LEAD) as desk:
        proposals.decline(desk, made.id, made.version, " ")
    with shop.writing(LEAD) as desk:
        declined = proposals.decline(desk, made.id, made.version, "We have that one.")
    with pytest.raises(Conflict), shop.writing(LEAD) as desk:
        proposals.publish_lesson(desk, made.id, made.version)
    with shop.writing(LEAD) as desk:
        assert proposals.publish_lesson(desk, made.id, declined.version).state is ProposalState.TAKEN


def test_only_who_proposed_it_takes_it_back(shop: RunningShop) -> None:
    made = a_lesson(shop)
    with pytest.raises(NotAllowed), shop.writing(OTHER) as desk:
        proposals.withdraw(desk, made.id, made.version)
    with shop.writing(TECH) as desk:
        gone = proposals.withdraw(desk, made.id, made.version)
        assert proposals.waiting_and_answered(desk) == ()
    with pytest.raises(BadInput, match="withdrawn"), shop.writing(LEAD) as desk:
        proposals.publish_lesson(desk, made.id, gone.version)


def test_what_a_bulletin_says_otherwise_corrects_the_note(shop: RunningShop) -> None:
    with shop.writing(LEAD) as desk:
        note = notes.write_note(desk, an_update())
    says = ProposalDraft(ProposalKind.SAYS_OTHERWISE, note_id=note.id, says="Ends with 2020", why="page 2")
    made = propose(shop, says)
    right = replace(note.content, coverage=(CoverageLine("Norvane", "Tessel", ((2017, 2020),)),))
    with shop.writing(LEAD) as desk:
        taken = proposals.correct_note(desk, made.id, made.version, note.version, right)
        newest = notes.list_revisions(desk, note.id)[0]
    assert (newest.content, newest.why) == (right, "tech: Ends with 2020")
    assert (taken.state, taken.made_note_id) == (ProposalState.TAKEN, note.id)


def test_a_better_check_is_offered_from_then_on(shop: RunningShop) -> None:
    made = propose(shop, ProposalDraft(ProposalKind.BETTER_CHECK, a_closed_concern(shop), check=CHECK))
    draft = CheckDraft(CHECK.name, CHECK.question, CHECK.yes_word, CHECK.no_word, 1, 6, minutes=3)
    assert said_in(draft) == CHECK
    with shop.writing(LEAD) as desk:
        taken = proposals.add_check(desk, made.id, made.version, draft)
        check = checks.read_check(desk, taken.made_check_id or 0)
    assert (check.content.name, taken.state) == ("Press on the hose", ProposalState.TAKEN)


@pytest.mark.parametrize(
    ("draft", "field"),
    [
        (ProposalDraft(ProposalKind.LESSON, 1), "title"),
        (ProposalDraft(ProposalKind.LESSON, lesson=a_note()), "concern_id"),
        (ProposalDraft(ProposalKind.SAYS_OTHERWISE, note_id=1, says=" "), "says"),
        (ProposalDraft(ProposalKind.SAYS_OTHERWISE, says="Ends with 2020"), "note_id"),
        (ProposalDraft(ProposalKind.BETTER_CHECK), "name"),
        (ProposalDraft(ProposalKind.BETTER_CHECK, check=ProposedCheck("Look", " ")), "question"),
        (ProposalDraft(ProposalKind.BETTER_CHECK, check=replace(CHECK, minutes=999_999)), "minutes"),
        (ProposalDraft(ProposalKind.BETTER_CHECK, check=replace(CHECK, minutes=-1)), "minutes"),
    ],
)
def test_what_says_too_little_is_refused_by_field(
    sqlite_shop: RunningShop, draft: ProposalDraft, field: str
) -> None:
    with pytest.raises(BadInput) as refused:
        propose(sqlite_shop, draft)
    assert field in refused.value.fields


def test_nothing_is_proposed_of_what_is_not_on_file(sqlite_shop: RunningShop) -> None:
    with pytest.raises(NotFound):
        propose(sqlite_shop, ProposalDraft(ProposalKind.LESSON, 99, lesson=a_note()))
    with pytest.raises(NotFound):
        propose(sqlite_shop, ProposalDraft(ProposalKind.SAYS_OTHERWISE, note_id=99, says="x"))


@given(st.lists(st.sampled_from(ProposalAct), max_size=6))
def test_whatever_is_done_a_taken_or_withdrawn_proposal_stays_so(acts: list[ProposalAct]) -> None:
    state = ProposalState.PROPOSED
    for act in acts:
        before = state
        try:
            state = after(state, act, "because")
        except BadInput:
            assert before is not ProposalState.PROPOSED, "one that waits takes every answer"
        else:
            assert before in (ProposalState.PROPOSED, ProposalState.DECLINED)
            assert state is not ProposalState.PROPOSED
