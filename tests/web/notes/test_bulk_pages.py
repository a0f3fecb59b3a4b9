"""Many notes at once through the pages: without JavaScript, and by keyboard in Chromium."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, expect

from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.notes import NoteState
from tests.factories import a_note, actor_of
from tests.web.browsing import give_passwords
from tests.web.chromium import screen, served
from tests.web.conftest import SignIn
from tests.web.test_every_page import faults


@pytest.fixture
def three_notes(sqlite_shop: RunningShop) -> list[int]:
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        return [notes.write_note(desk, a_note(title=f"Judder {n} in reverse")).id for n in range(3)]


def states(shop: RunningShop, ids: list[int]) -> list[NoteState]:
    with shop.reading(actor_of(shop, "lead")) as desk:
        return [notes.read_note(desk, one).content.state for one in ids]


def test_a_list_is_told_changed_and_put_back(
    sqlite_shop: RunningShop, three_notes: list[int], signed_in: SignIn
) -> None:
    lead, here = signed_in("lead"), "/notes?text=judder"
    form = {"action": "retire", "why": "one lesson says it all", "whole_list": "yes"}
    told = lead.send(here, "/notes/bulk", form)
    assert "3 notes of 3 will be retired" in " ".join(told.text.split())
    assert faults(told) == faults(lead.see(here)) == []
    assert states(sqlite_shop, three_notes) == [NoteState.PUBLISHED] * 3
    fields = told.form("/notes/bulk").fields
    done = lead._look(lead.client.post("/notes/bulk", data=fields), "/notes/bulk", 200)
    assert "3 notes changed" in done.text
    assert faults(done) == faults(lead.see("/notes/bulk")) == []
    assert states(sqlite_shop, three_notes) == [NoteState.RETIRED] * 3
    address = next(one.action for one in done.forms if one.action.endswith("/undo"))
    back = lead.send(address.removesuffix("/undo"), address)
    assert "3 put back as they were" in back.text
    assert states(sqlite_shop, three_notes) == [NoteState.PUBLISHED] * 3


def test_what_is_missing_is_said_and_technicians_see_no_boxes(
    sqlite_shop: RunningShop, three_notes: list[int], signed_in: SignIn
) -> None:
    lead, tech = signed_in("lead"), signed_in("tech")
    for typed, says in (
        ({"action": "retire", "note": str(three_notes[0])}, "Say why"),
        ({"action": "publish"}, "Tick at least one note"),
        ({"note": str(three_notes[0])}, "Choose what to do"),
    ):
        assert says in lead.send("/notes", "/notes/bulk", typed, expect=422).text
    assert "/notes/bulk" not in [form.action for form in tech.see("/notes").forms]
    tech.see("/notes/bulk", expect=403)


def test_ticks_outlive_a_refusal(three_notes: list[int], signed_in: SignIn) -> None:
    """Two ticked by hand must not be ticked again because a reason was forgotten."""
    lead, ticked = signed_in("lead"), [str(one) for one in three_notes[:2]]
    fields = lead.see("/notes").form("/notes/bulk").fields | {"action": ["retire"], "note": ticked}
    refused = lead._look(lead.client.post("/notes/bulk", data=fields), "/notes/bulk", 422)
    assert faults(refused) == []
    again = refused.form("/notes/bulk").fields
    assert (again["note"], again["action"]) == (ticked, ["retire"])
    told = lead._look(
        lead.client.post("/notes/bulk", data=again | {"why": ["said twice"]}), "/notes/bulk", 200
    )
    assert "2 notes of 2 will be retired" in " ".join(told.text.split())


@pytest.mark.browser
def test_two_notes_are_ticked_and_given_a_module_by_keyboard(
    browser: Browser, sqlite_shop: RunningShop, three_notes: list[int]
) -> None:
    give_passwords(sqlite_shop)
    with served(sqlite_shop) as address:
        seen = screen(browser, address)
        seen.sign_in("lead")
        seen.open("/notes")
        boxes, page = seen.page.locator("input[name=note]"), seen.page
        boxes.nth(0).focus()
        page.keyboard.press("Space")
        boxes.nth(1).focus()
        page.keyboard.press("Space")
        page.locator("summary", has_text="Change the ticked notes").focus()
        page.keyboard.press("Enter")
        page.get_by_label("set the module that is programmed").focus()
        page.keyboard.press("Space")
        page.keyboard.press("Tab")
        page.keyboard.type("TCM")
        assert seen.too_wide_at(390, 1280) == []
        page.keyboard.press("Enter")
        expect(page.get_by_text("2 notes of 2 will have TCM")).to_be_visible()
        assert seen.too_wide_at(390, 1280) == []
        page.get_by_role("button", name="Change 2 notes").focus()
        page.keyboard.press("Enter")
        expect(page.get_by_text("2 notes changed")).to_be_visible()
        assert seen.too_wide_at(390, 1280) == []
    with sqlite_shop.reading(actor_of(sqlite_shop, "lead")) as desk:
        modules = [notes.read_note(desk, one).content.remedy_module for one in three_notes]
    assert sorted(modules) == ["", "TCM", "TCM"]
