"""A form that cannot be saved comes back with everything that was typed."""

from __future__ import annotations

from dataclasses import replace

from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.notes import NoteDocument
from tests.factories import actor_of
from tests.web.conftest import SignIn


def test_a_complaint_of_200_kilobytes_comes_back_whole_with_every_tap(signed_in: SignIn) -> None:
    tech = signed_in("tech")
    complaint = ("bucks <b>& jerks</b> “uphill”\nonly wen warm. " * 4500).strip()
    assert len(complaint.encode()) > 200_000
    typed = {
        "complaint": complaint,
        "ro_number": "2087-B",
        "codes": "P0171 P0300",
        "conditions": ["uphill", "warm engine"],
        "frequency": "weekly",
        "codes_scanned": "cleared_before",
        "phone": "555-0100",
    }
    page = tech.send("/concerns/new", "/concerns/new", typed, expect=422)
    form = page.form("/concerns/new").fields
    assert form["complaint"] == [complaint]
    kept = {name: form[name] for name in typed if name != "complaint"}
    assert kept == {
        "ro_number": ["2087-B"],
        "codes": ["P0171 P0300"],
        "conditions": ["warm engine", "uphill"],
        "frequency": ["weekly"],
        "codes_scanned": ["cleared_before"],
        "phone": ["555-0100"],
    }
    assert "fit. Keep what matters." in page.text


def test_a_code_that_is_none_is_named_and_the_rest_is_kept(signed_in: SignIn) -> None:
    tech = signed_in("tech")
    typed = {"complaint": "stalls", "ro_number": "7", "codes": "P0171 X9"}
    page = tech.send("/concerns/new", "/concerns/new", typed, expect=422)
    wrong = next(found for found in page.all("input") if found.get("name") == "codes")
    assert wrong["value"] == "P0171 X9"
    assert wrong["aria-invalid"] == "true"
    assert page.form("/concerns/new").fields["complaint"] == ["stalls"]


def test_two_leads_who_save_one_note_at_once_both_find_their_text(
    bay: RunningShop, signed_in: SignIn
) -> None:
    mine = signed_in("lead")
    before = mine.see("/notes/2/edit").form("/notes/2/edit").fields
    with bay.writing(actor_of(bay, "owner")) as desk:
        note = notes.read_note(desk, 2)
        changed = note.content.__class__(note.content.kind, "Theirs: look at the hose clamp")
        notes.change_note(desk, 2, 1, changed, "meanwhile")
    sent = before | {"title": ["Mine: look at the hose"]}
    answer = mine.client.post("/notes/2/edit", data=sent)
    assert answer.status_code == 409
    assert "Theirs: look at the hose clamp" in answer.text
    assert 'value="Mine: look at the hose"' in answer.text
    # Saving again from that page puts one's own text in place, and both versions are kept.
    again = mine.see("/notes/2").html
    assert "Mine" not in again
    saved = mine.client.post("/notes/2/edit", data=sent | {"version": ["2"]})
    assert "Mine: look at the hose" in saved.text
    assert "Theirs: look at the hose clamp" in mine.see("/notes/2/revisions").text


def test_the_documents_of_an_imported_note_survive_a_correction(bay: RunningShop, signed_in: SignIn) -> None:
    with bay.writing(actor_of(bay, "lead")) as desk:
        note = notes.read_note(desk, 2)
        with_paper = replace(note.content, documents=(NoteDocument("owner letter", "Dear owner"),))
        notes.change_note(desk, 2, 1, with_paper)
    signed_in("lead").send("/notes/2/edit", "/notes/2/edit", {"title": "Corrected"})
    with bay.reading(actor_of(bay, "lead")) as desk:
        content = notes.read_note(desk, 2).content
    assert (content.title, content.documents[0].text) == ("Corrected", "Dear owner")


def test_a_note_goes_through_its_form_unchanged(bay: RunningShop, signed_in: SignIn) -> None:
    with bay.reading(actor_of(bay, "lead")) as desk:
        before = notes.read_note(desk, 1).content
    signed_in("lead").send("/notes/1/edit", "/notes/1/edit")
    with bay.reading(actor_of(bay, "lead")) as desk:
        after = notes.read_note(desk, 1)
    assert after.version == 2
    assert after.content == before


def test_a_concern_goes_through_its_form_unchanged(bay: RunningShop, signed_in: SignIn) -> None:
    with bay.reading(actor_of(bay, "tech")) as desk:
        before = read_concern(desk, 1)
    signed_in("tech").send("/concerns/1/edit", "/concerns/1/edit")
    with bay.reading(actor_of(bay, "tech")) as desk:
        after = read_concern(desk, 1)
    kept = ("complaint", "vehicle", "codes", "conditions", "odometer", "ref", "codes_scanned", "just_before")
    assert {name: getattr(after, name) for name in kept} == {name: getattr(before, name) for name in kept}


def test_a_session_that_ended_meanwhile_gives_back_what_was_typed(
    bay: RunningShop, signed_in: SignIn
) -> None:
    tech = signed_in("tech")
    form = tech.see("/concerns/new").form("/concerns/new").fields
    tech.client.cookies.delete("beforeflash_session")
    answer = tech.client.post("/concerns/new", data=form | {"complaint": ["half an hour of typing"]})
    assert answer.status_code in {401, 403}
    assert "half an hour of typing" in answer.text
    assert form["form_token"][0] not in answer.text
