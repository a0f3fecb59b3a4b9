"""Write from a paste in a real Chromium: on a phone without scripts, and at a desk by tapping."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from kb.desk.access import accounts
from kb.desk.context import CONSOLE, RunningShop
from tests.web.browsing import PASSWORD
from tests.web.chromium import screen, served
from tests.web.notes.test_pasting import PAPER

pytestmark = pytest.mark.browser


@pytest.fixture
def url(bay: RunningShop) -> Iterator[str]:
    with bay.writing(CONSOLE) as desk:
        for user in accounts.list_users(desk):
            accounts.set_password(desk, user.id, PASSWORD)
    with served(bay) as address:
        yield address


@pytest.mark.parametrize("width", [390, 1280])
def test_a_lead_takes_what_is_right_and_saves_a_draft(browser: Browser, url: str, width: int) -> None:
    desk = screen(browser, url, width=width)
    desk.sign_in("lead", PASSWORD)
    desk.open("/notes")
    desk.page.click("text=Write from a paste")
    desk.page.fill("#text", PAPER)
    assert desk.fits()
    desk.page.click("text=Read it")
    expect(desk.page.locator("h1")).to_have_text("What the paste says")
    assert desk.fits()
    symptom = desk.page.locator(".proposal", has=desk.page.locator("label", has_text="Symptom"))
    expect(symptom.locator("input[name=take]")).not_to_be_checked()
    symptom.locator("input[name=take]").check()
    symptom.locator("small a").click()
    expect(desk.page.locator("mark:target")).to_contain_text("may surge at light throttle")
    desk.page.click("text=Save as a draft")
    expect(desk.page.locator("main")).to_contain_text("draft")
    expect(desk.page.locator("main")).to_contain_text("may surge at light throttle")
    expect(desk.page.locator("main")).to_contain_text("0447D")
    assert desk.fits()
    assert desk.troubles == []
