"""The form and page of a note: codes by what they mean, the remedy, and what speaks against it."""

from __future__ import annotations

from kb.desk.bay.advice import checks_on_file
from kb.desk.bay.concern import findings
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.concerns import FindingResult
from kb.nouns.notes import CodeKind, NoteCode, Remedy
from tests.factories import actor_of
from tests.web.conftest import SignIn

TYPED = {
    "title": "Cluster goes blank",
    "number": "NV-9",
    "kind": "bulletin",
    "codes": "B1A04, P0171",
    "codes_may_be_stored": "p0087",
    "codes_not_part": "P0741",
    "steps": "IPC: C30 -> C33",
    "remedy": "inspect_then_software",
    "remedy_module": "IPC",
    "against_says": ["It happens over bumps", "", "A PCV hose leaks"],
    "against_check": ["", "", "smoke_test"],
}


def test_a_lesson_folds_what_bulletins_have_and_loses_none_of_it(bay: RunningShop, signed_in: SignIn) -> None:
    lead, fold = signed_in("lead"), '<details id="of-bulletins" data-open-when-wide'
    assert f"{fold}>" in lead.see("/notes/new/lesson").html
    for page in ("/notes/new/bulletin", "/notes/1/edit", "/notes/2/edit"):
        assert f"{fold} open>" in lead.see(page).html
    refused = lead.send(
        "/notes/new/lesson", "/notes/new/lesson", {"title": " ", "relearns": "idle"}, expect=422
    )
    assert f"{fold} open>" in refused.html
    assert refused.form("/notes/new/lesson").fields["relearns"] == ["idle"]


def test_a_note_is_written_refused_whole_saved_and_corrected(signed_in: SignIn, bay: RunningShop) -> None:
    lead, new = signed_in("lead"), "/notes/new/bulletin"
    fields = lead.send(new, new, TYPED | {"title": ""}, expect=422).form(new).fields
    assert fields["against_says"] == ["It happens over bumps", "", "A PCV hose leaks"]
    assert fields["against_check"] == ["", "", "smoke_test"]
    assert (fields["remedy"], fields["codes_not_part"]) == (["inspect_then_software"], ["P0741"])
    page = lead.send(new, new, TYPED)
    told = ("Not part of it", "inspect, then software", "Software is not the cure when", "A PCV hose leaks")
    assert [words for words in told if words not in page.text] == []
    with bay.reading(actor_of(bay, "tech")) as desk:
        note = notes.read_note(desk, 3)
        offered = {one.key for one in checks_on_file.list_checks(desk)}
    assert note.content.codes == (
        NoteCode("B1A04"),
        NoteCode("P0087", CodeKind.MAY_BE_STORED),
        NoteCode("P0171", CodeKind.MAY_BE_STORED),
        NoteCode("P0741", CodeKind.NOT_PART),
    )
    assert (note.content.remedy, note.content.remedy_module) == (Remedy.INSPECT_THEN_SOFTWARE, "IPC")
    own, smoke = (one.check for one in note.content.speaks_against)
    assert smoke == "smoke_test"

    edit = lead.see("/notes/3/edit").form("/notes/3/edit").fields
    assert edit["against_check"] == [own, "smoke_test", "", "", ""], "rows left free for more"
    rows = {"against_says": ["It happens over potholes", ""], "against_check": [own, "smoke_test"]}
    lead.send("/notes/3/edit", "/notes/3/edit", rows)
    with bay.reading(actor_of(bay, "tech")) as desk:
        [entry] = notes.read_note(desk, 3).content.speaks_against
    assert (entry.says, entry.check) == ("It happens over potholes", own)
    assert own in offered
    assert "speaks against" in lead.see("/notes/3/revisions").text
    assert "Made of what single notes say" in lead.see("/shop/checks").text


def test_the_card_says_what_the_bulletin_says_against_it(signed_in: SignIn, bay: RunningShop) -> None:
    lead = signed_in("lead")
    rows = {"against_says": ["It happens over bumps"], "against_check": [""]}
    lead.send("/notes/1/edit", "/notes/1/edit", rows)
    tech = signed_in("tech")
    says = "The bulletin says: not when it happens over bumps."
    assert says not in tech.see("/concerns/1").text
    with bay.writing(actor_of(bay, "tech")) as desk:
        [entry] = notes.read_note(desk, 1).content.speaks_against
        findings.put_finding(desk, 1, entry.check, FindingResult.YES)
    assert says in tech.see("/concerns/1").text


def test_whoever_saved_first_is_called_as_the_shop_calls_them(signed_in: SignIn, bay: RunningShop) -> None:
    edit, called = "/notes/1/edit", "Lead technician"
    first, second = signed_in("lead"), signed_in("owner")
    stale = second.see(edit).form(edit).fields
    first.send(edit, edit, {"title": "Cluster goes blank over bumps"})
    page = second.send(edit, edit, stale, expect=409)
    assert f"{called} saved this note first (version 2)" in page.text
    assert f"What {called} saved meanwhile" in page.text
    assert f"{called}, " in first.see("/notes").text


def test_a_state_that_is_none_is_refused(signed_in: SignIn, bay: RunningShop) -> None:
    page = signed_in("lead").send("/notes/1/edit", "/notes/1/edit", {"state": "gone"}, expect=422)
    assert "That choice is not known here" in page.text
