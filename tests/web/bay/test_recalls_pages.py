"""Recalls on the concern page and on paper, with and without JavaScript; model families in the browser."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, expect

from kb.desk.bay.concern import concerns
from kb.desk.context import RunningShop
from kb.nouns.vehicles import Vehicle
from tests.factories import a_concern, actor_of
from tests.kb.desk.bay.test_recalls import ROWS
from tests.kb.desk.imports.importing import take
from tests.web.chromium import screen, served
from tests.web.conftest import SignIn


@pytest.fixture
def optima(sqlite_shop: RunningShop) -> RunningShop:
    """Concern 1 is of a vehicle with three recalls on file, one of which touches it."""
    take(sqlite_shop, "recall-communications", ROWS)
    with sqlite_shop.writing(actor_of(sqlite_shop, "tech")) as desk:
        draft = a_concern(complaint="HECU fuse blown", vehicle=Vehicle("Kia", "Optima", 2015))
        concerns.open_concern(desk, draft)
    return sqlite_shop


def test_recalls_are_looked_up_with_a_tap_and_stand_on_paper(optima: RunningShop, signed_in: SignIn) -> None:
    tech = signed_in("tech")
    page = tech.see("/concerns/1")
    assert "3 on file for this model; one look-up by VIN tells." in page.text
    assert "Not looked up: that is not the same as clear." in tech.see("/concerns/1/print").text
    act = "/concerns/1/recalls"
    tech.send("/concerns/1", act, {"number": "23V652", "result": "open"})
    assert "Open: 23V652." in tech.see("/concerns/1").text
    tech.send("/concerns/1", act, {"number": "23V652", "result": "open", "touches": "no"})
    assert "about something else" in tech.see("/concerns/1").text
    assert "Stop: A recall" not in tech.see("/concerns/1").text
    assert "free at the dealer" in tech.see("/concerns/1/paper").text
    paper = tech.see("/concerns/1/print").text
    for wanted in ("23V652", "open, Technician", "49 USC 30120", "40 CFR 85.2103", "Campaigns expire"):
        assert wanted in paper, wanted
    tech.send("/concerns/1", act, {"number": "", "result": "none_open"})
    assert "Looked up: none open" in tech.see("/concerns/1/print").text
    refused = tech.send("/concerns/1", act, {"number": "?!", "result": "open"}, expect=422)
    assert "no recall number" in refused.text


def test_a_lead_joins_names_of_models_and_takes_it_back(optima: RunningShop, signed_in: SignIn) -> None:
    lead = signed_in("lead")
    lead.send("/families", "/families", {"make": "Kia", "names": "Optima, K5", "how": "together"})
    assert "Optima, K5 one family" in " ".join(lead.see("/families").text.split())
    assert lead.send("/families", "/families", {"make": "Kia", "names": "K5"}, expect=422)
    lead.send("/families", "/families/1/undo")
    assert "taken back by Lead technician" in " ".join(lead.see("/families").text.split())
    assert "/families/1/undo" not in signed_in("tech").see("/families").html


def test_the_card_works_with_gloves_on(browser: Browser, optima: RunningShop, signed_in: SignIn) -> None:
    signed_in("tech")
    with served(optima) as address:
        phone = screen(browser, address)
        phone.sign_in("tech")
        phone.open("/concerns/1")
        touching = phone.page.locator("[data-keep=recall-23V652]")
        touching.locator("button", has_text="OPEN").click()
        expect(phone.page.locator(".stop").first).to_contain_text("Open: 23V652.")
        expect(phone.page.locator("#recalls > ul .tag.full")).to_have_text("open")
        phone.page.locator("button", has_text="Looked up: none open").click()
        expect(phone.page.locator("#recalls button[aria-pressed=true]")).to_have_text("Looked up: none open")
        expect(phone.page.locator(".stop")).to_have_count(0)
        for button in touching.locator("button").all():
            box = button.bounding_box()
            assert box is not None
            assert box["height"] >= 60
        assert phone.fits()
        assert phone.troubles == []
