"""Notes on the same thing while one is written: by a button, live with the script, and on the draft."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, expect

from kb.desk.context import RunningShop
from tests.factories import headers_of
from tests.web.chromium import screen
from tests.web.conftest import SignIn
from tests.web.test_every_page import faults

NEW, LOOK = "/notes/new/bulletin", "/notes/alike"
TYPED = {
    "kind": "bulletin",
    "title": "Bucks at light throttle",
    "number": "nv24101",
    "coverage": "Norvane | Tessel | 2018-2023",
    "codes": "P0171",
}


def test_a_button_shows_what_is_alike_with_what_differs_and_keeps_what_is_typed(
    bay: RunningShop, signed_in: SignIn
) -> None:
    lead = signed_in("lead")
    fields = lead.see(NEW).form(NEW).fields | {name: [text] for name, text in TYPED.items()}
    answer = lead.client.post(LOOK, data=fields)
    page = lead._look(answer, LOOK, 200)
    assert faults(page) == []
    assert page.form(NEW).fields["title"] == ["Bucks at light throttle"]
    for told in ("On the same thing", "the same number", "only here: 2018-2023 Norvane Tessel"):
        assert told in page.text
    assert "/notes/1" in page.links
    other = fields | {"title": ["Glove box lamp"], "number": ["NV-9"]}
    assert "Nothing alike on file" in lead._look(lead.client.post(LOOK, data=other), LOOK, 200).text
    wrong = fields | {"coverage": ["Norvane | Tessel | soon"]}
    assert "is no model year" in lead._look(lead.client.post(LOOK, data=wrong), LOOK, 422).text
    tech = signed_in("tech")
    assert tech.client.post(LOOK, data=fields).status_code == 403


def test_a_saved_draft_shows_what_is_alike_and_leads_to_merging(bay: RunningShop, signed_in: SignIn) -> None:
    lead = signed_in("lead")
    page = lead.send(NEW, NEW, TYPED | {"state": "draft"})
    assert "On the same thing" in page.text
    assert "/notes/3/merge?keep=1" in page.links
    assert "On the same thing" not in signed_in("tech").see("/notes/3").text


def test_a_long_explanation_does_not_hide_that_the_symptom_is_the_same(
    bay: RunningShop, signed_in: SignIn
) -> None:
    explained = (
        "The bypass valve opens while the mixture is corrected. The two corrections chase each other. "
    )
    on_file = {
        "title": "Whistle and weak pull after refueling, purge line",
        "symptom": "Whistles behind the glove box, pulls weakly uphill for miles after the tank was filled",
        "coverage": "Norvane | Tessel | 2018-2023",
    }
    lead = signed_in("lead")
    lead.send(NEW, NEW, on_file | {"kind": "lesson", "body": explained + "Hoses age, clamps loosen. " * 3})
    fields = lead.see(NEW).form(NEW).fields | {name: [text] for name, text in on_file.items()}
    page = lead._look(lead.client.post(LOOK, data=fields | {"kind": ["lesson"]}), LOOK, 200)
    assert "nearly the same words" in page.text


def test_a_program_is_told_too(bay: RunningShop, signed_in: SignIn) -> None:
    lead = signed_in("lead")
    body = {"kind": "bulletin", "title": "Bucks", "number": "NV 24.101"}
    [one] = lead.client.post("/api/notes/alike", json=body, headers=headers_of(bay, "tech")).json()
    assert (one["id"], one["why"]) == (1, ["number"])
    assert {part["field"] for part in one["differs"]} == {"title", "vehicles", "calibration IDs", "codes"}


@pytest.mark.browser
def test_it_appears_while_somebody_types(browser: Browser, url: str) -> None:
    desk = screen(browser, url, 1280)
    desk.sign_in("lead")
    desk.open(NEW)
    expect(desk.page.locator("text=Look for alike notes first")).to_be_hidden()
    desk.page.fill("#title", "Bucks")
    desk.page.fill("#number", "NV 24 101")
    expect(desk.page.locator("#alike")).to_contain_text("the same number")
    assert desk.fits()
    desk.page.fill("#number", "NV 24 10")
    expect(desk.page.locator("#alike")).to_contain_text("Nothing alike on file")
    assert desk.troubles == []
