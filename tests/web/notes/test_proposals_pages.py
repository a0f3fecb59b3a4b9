"""Proposals through the pages without JavaScript: what is said in the bay, answered, and read again."""

from __future__ import annotations

from kb.desk.context import RunningShop
from kb.desk.notes import notes, proposals
from kb.nouns.bay.proposals import ProposalState
from tests.factories import actor_of
from tests.web.browsing import Page, Visitor
from tests.web.conftest import SignIn
from tests.web.test_every_page import faults

LESSON = "/concerns/1/lesson"


def propose_lesson(tech: Visitor, title: str = "Look at the purge valve first") -> None:
    tech.send(LESSON, LESSON, {"title": title})


def state_of(shop: RunningShop, proposal_id: int = 1) -> tuple[ProposalState, str]:
    with shop.reading(actor_of(shop, "tech")) as desk:
        it = proposals.read_proposal(desk, proposal_id)
    return it.state, it.answer


def test_a_lesson_begins_with_the_concern_waits_for_the_lead_and_is_published(
    bay: RunningShop, signed_in: SignIn
) -> None:
    tech, lead = signed_in("tech"), signed_in("lead")
    begun = tech.see(LESSON).form(LESSON).fields
    assert begun["symptom"] == ["bucks and jerks at light throttle going uphill when warm"]
    assert begun["coverage"] == ["Norvane | Tessel | 2019 | 2.0 L"]
    assert begun["codes_may_be_stored"] == ["P0171"]
    propose_lesson(tech)
    for page in ("/concerns/1", "/concerns"):
        assert "proposed, waiting for the lead" in tech.see(page).text
    assert "/queues/proposals" in lead.see("/concerns").links
    inbox = lead.see("/queues/proposals")
    assert "Look at the purge valve first" in inbox.text
    assert faults(inbox) == faults(tech.see("/concerns/1")) == faults(lead.see("/proposals/1")) == []
    lead.send("/queues/proposals", "/proposals/1/answer", {"act": "publish", "answer": "Good catch."})
    assert "Nothing is proposed" in lead.see("/queues/proposals").text
    for page in ("/concerns/1", "/concerns"):
        assert "Good catch." in tech.see(page).text
    assert "Look at the purge valve first" in tech.see("/search?q=purge+valve").text


def test_a_technician_cannot_publish_nor_answer(bay: RunningShop, signed_in: SignIn) -> None:
    tech = signed_in("tech")
    propose_lesson(tech)
    page = tech.see("/proposals/1")
    assert "/proposals/1/answer" not in [form.action for form in page.forms]
    for path in ("/queues/proposals", "/proposals/1/lesson"):
        tech.see(path, expect=403)
    fields = {
        "form_token": page.form("/proposals/1/withdraw").fields["form_token"],
        "version": "1",
        "act": "publish",
    }
    assert tech.client.post("/proposals/1/answer", data=fields).status_code == 403
    tech.send("/proposals/1", "/proposals/1/withdraw")
    assert state_of(bay)[0] is ProposalState.WITHDRAWN


def test_a_decline_asks_for_a_line_and_keeps_what_was_typed(bay: RunningShop, signed_in: SignIn) -> None:
    tech, lead = signed_in("tech"), signed_in("lead")
    propose_lesson(tech)
    inbox, answer = "/queues/proposals", "/proposals/1/answer"
    assert "why not" in lead.send(inbox, answer, {"act": "decline", "answer": ""}, expect=422).text
    lead.send("/proposals/1", answer, {"act": "decline", "answer": "We have that one."})
    assert state_of(bay) == (ProposalState.DECLINED, "We have that one.")
    assert "We have that one." in tech.see("/concerns").text


def test_the_lead_words_it_anew(bay: RunningShop, signed_in: SignIn) -> None:
    propose_lesson(signed_in("tech"))
    form = "/proposals/1/lesson"
    signed_in("lead").send(form, form, {"title": "Purge valve first", "answer": "Shorter."})
    assert state_of(bay) == (ProposalState.CHANGED, "Shorter.")
    assert "published with changes" in signed_in("tech").see("/concerns/1").text


def test_a_leads_own_lesson_is_published_at_once_and_stays_with_the_concern(
    bay: RunningShop, signed_in: SignIn
) -> None:
    lead = signed_in("lead")
    page = lead.send(LESSON, LESSON, {"title": "Purge valve first"})
    assert "published" in page.text
    assert "/proposals/1" in page.links
    assert state_of(bay)[0] is ProposalState.TAKEN


def test_what_the_bulletin_says_otherwise_is_corrected_beside_the_words(
    bay: RunningShop, signed_in: SignIn
) -> None:
    tech, lead = signed_in("tech"), signed_in("lead")
    say = "/notes/1/otherwise"
    tech.send(f"{say}?for_concern=1", say, {"says": "It ends with 2020", "why": "page 2"})
    assert "It ends with 2020" in tech.see("/concerns/1").text
    assert "It ends with 2020" in lead.see("/notes/1").text
    edit = "/notes/1/edit?proposal=1"
    assert edit in lead.see("/queues/proposals").links
    refused = lead.send(edit, "/notes/1/edit", {"title": "", "answer": "Right."}, expect=422)
    assert "It ends with 2020" in refused.text
    assert refused.form("/notes/1/edit").fields["answer"] == ["Right."]
    fields = refused.form("/notes/1/edit").fields | {"coverage": ["Norvane | Tessel | soon"]}
    looked = lead.client.post("/notes/alike", data=fields)
    assert looked.status_code == 422
    assert "It ends with 2020" in looked.text
    assert Page(looked.text).form("/notes/1/edit").fields["answer"] == ["Right."]
    lead.send(edit, "/notes/1/edit", {"coverage": "Norvane | Tessel | 2017-2020", "answer": "Right."})
    assert state_of(bay) == (ProposalState.TAKEN, "Right.")
    with bay.reading(actor_of(bay, "lead")) as desk:
        assert notes.read_note(desk, 1).content.coverage[0].years == ((2017, 2020),)


def test_a_better_check_is_offered_with_the_leads_guesses(bay: RunningShop, signed_in: SignIn) -> None:
    tech, lead = signed_in("tech"), signed_in("lead")
    form, add = "/concerns/1/better-check", "/proposals/1/check"
    check = {
        "name": "Press on the hose",
        "question": "Does the idle change?",
        "yes_word": "CHANGES",
        "no_word": "STAYS",
    }
    tech.send(form, form, check | {"minutes": "3", "why": "finds a split at once"})
    refused = lead.send(add, add, {"yes_in_10_cured": "1"}, expect=422)
    assert refused.form(add).fields["yes_in_10_cured"] == ["1"]
    lead.send(add, add, {"yes_in_10_cured": "1", "yes_in_10_not": "6", "system": "engine"})
    assert state_of(bay)[0] is ProposalState.TAKEN
    assert "Press on the hose" in lead.see("/shop/checks").text
