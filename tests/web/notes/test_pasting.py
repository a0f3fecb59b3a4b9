"""Write from a paste: a bulletin's text becomes proposals, a person accepts some, and a draft stands on
file.
"""

from __future__ import annotations

from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.notes import CodeKind, NoteCode, NoteState, Remedy
from kb.nouns.vehicles import CalibrationStep, CoverageLine
from tests.factories import actor_of
from tests.web.browsing import Page, Visitor
from tests.web.conftest import SignIn

PAPER = """\
NORVANE SERVICE INFORMATION
NUMBER: 16-23-044A            DATE: March 14, 2023
SUBJECT: Surge at light throttle, ECM reprogramming
MODELS: 2016-2018 Norvane Alto 2.0 T
This bulletin supersedes 16-22-019.

CONDITION
The engine may surge at light throttle when it is warm. P0087 may also be stored.

CORRECTION
Reprogram the ECM.

Current ECM Calibration ID      New ECM Calibration ID
0447B, 0447C                    0447D

SERVICE PROCEDURE
1. Connect a battery support unit and hold 13.0 to 14.8 V.
2. Perform the idle learn procedure.

This update does not correct an intake leak.
"""
PASTE, DRAFT = "/notes/paste", "/notes/paste/draft"


def save(visitor: Visitor, page: Page, changes: dict[str, list[str]], expect: int = 200) -> Page:
    """The proposals sent back as they stand, with what a person changed."""
    answer = visitor.client.post(DRAFT, data=page.form(DRAFT).fields | changes)
    assert answer.status_code == expect, answer.text
    return Page(answer.text)


def test_a_paste_becomes_a_draft_of_what_was_accepted(signed_in: SignIn, bay: RunningShop) -> None:
    lead = signed_in("lead")
    assert "Write from a paste" in lead.see("/notes").text
    page = lead.send(PASTE, PASTE, {"text": PAPER}, expect=200)
    rows = page.form(DRAFT).fields
    by_field = dict(zip(rows["row_field"], range(len(rows["row_field"])), strict=True))
    assert "“March 14, 2023”" in page.text, "each value stands beside the words that it came from"
    assert str(by_field["title"]) in rows["take"]
    assert str(by_field["symptom"]) not in rows["take"], "sentences wait for a person"

    changed = list(rows["row_value"])
    changed[by_field["against_says"]] = "The intake leaks"
    taken = [*rows["take"], str(by_field["symptom"]), str(by_field["relearns"])]
    save(lead, page, {"row_value": changed, "take": taken})
    with bay.reading(actor_of(bay, "lead")) as desk:
        content = notes.read_note(desk, 3).content
    assert content.state is NoteState.DRAFT
    assert (content.number, str(content.published_on), content.replaces) == (
        "16-23-044A",
        "2023-03-14",
        ("16-22-019",),
    )
    assert content.coverage == (CoverageLine("Norvane", "Alto", ((2016, 2018),), "2.0 T"),)
    assert content.steps == (CalibrationStep("ECM", ("0447B", "0447C"), "0447D"),)
    assert content.codes == (NoteCode("P0087", CodeKind.MAY_BE_STORED),)
    assert content.remedy is Remedy.SOFTWARE
    assert (content.symptom, content.precautions) == (
        "The engine may surge at light throttle when it is warm",
        (),
    )
    assert [one.says for one in content.speaks_against] == ["The intake leaks"]
    assert content.relearns == ("Perform the idle learn procedure.",)
    [paper] = content.documents
    assert paper.text == PAPER.strip(), "the whole text stays with the note"
    assert "Surge at light throttle" not in lead.see("/search?q=surge+light+throttle+alto").text


def test_all_that_is_proposed_may_be_taken_and_a_further_line_is_a_further_vehicle(
    signed_in: SignIn, bay: RunningShop
) -> None:
    lead = signed_in("lead")
    models = "MODELS: 2016-2018 Norvane Alto and 2019-2020 Norvane Lask with the 2.0 T engine"
    no_cure = (
        "Do not reprogram the ECM if DTC P0700 is stored with U0100, or if the oil is dark or smells burnt: "
        "diagnose the engine first."
    )
    paper = PAPER.replace("MODELS: 2016-2018 Norvane Alto 2.0 T", models)
    paper = paper.replace("This update does not correct an intake leak.", no_cure)
    page = lead.send(PASTE, PASTE, {"text": paper}, expect=200)
    rows = page.form(DRAFT).fields
    changed = list(rows["row_value"])
    changed[rows["row_field"].index("coverage")] += "\nNorvane | Brix | 2019"
    save(lead, page, {"row_value": changed, "take": list(map(str, range(len(changed))))})
    with bay.reading(actor_of(bay, "lead")) as desk:
        content = notes.read_note(desk, 3).content
    assert {(line.model, line.years) for line in content.coverage} == {
        ("Alto", ((2016, 2018),)),
        ("Brix", ((2019, 2019),)),
        ("Lask", ((2019, 2020),)),
    }
    assert [one.says for one in content.speaks_against] == [no_cure]


def test_what_cannot_be_saved_is_shown_again_with_nothing_lost(signed_in: SignIn) -> None:
    lead = signed_in("lead")
    page = lead.send(PASTE, PASTE, {"text": PAPER}, expect=200)
    rows = page.form(DRAFT).fields
    at = rows["row_field"].index("coverage")
    changed = [*rows["row_value"][:at], "Norvane | Alto | twenty", *rows["row_value"][at + 1 :]]
    again = save(lead, page, {"row_value": changed}, expect=422)
    assert "no model year" in again.text
    kept = again.form(DRAFT).fields
    assert (kept["row_value"], kept["take"]) == (changed, rows["take"])
    assert kept["text"] == rows["text"]


def test_a_paste_without_text_and_a_technician_are_told_so(signed_in: SignIn) -> None:
    lead = signed_in("lead")
    assert "There is no text" in lead.send(PASTE, PASTE, {"text": "  "}, expect=422).text
    assert "lead technician" in signed_in("tech").see(PASTE, expect=403).text


def test_a_pile_of_bulletins_is_told_to_come_one_at_a_time(signed_in: SignIn) -> None:
    pile = "\n".join(f"P{n:04X} is stored." for n in range(0x400, 0x800))
    page = signed_in("lead").send(PASTE, PASTE, {"text": pile})
    assert "Paste one bulletin at a time" in page.text
    assert len(page.form(DRAFT).fields["row_field"]) == 300


def test_a_step_that_names_only_its_new_id_is_kept(signed_in: SignIn, bay: RunningShop) -> None:
    lead = signed_in("lead")
    table = PAPER[PAPER.index("Current ECM") : PAPER.index("SERVICE PROCEDURE")]
    told = PAPER.replace("Reprogram the ECM.", "Reprogram the ECM to 0447D.").replace(table, "")
    save(lead, lead.send(PASTE, PASTE, {"text": told}, expect=200), {})
    with bay.reading(actor_of(bay, "lead")) as desk:
        assert notes.read_note(desk, 3).content.steps == (CalibrationStep("ECM", (), "0447D"),)
