"""Sent out in a real Chromium: from the price that the owner asked to the owner's review, by who did it."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, expect

from kb.desk.context import RunningShop
from tests.conftest import StandingClock
from tests.web.chromium import phone_in_the_bay, screen

pytestmark = pytest.mark.browser


def test_a_concern_is_sent_out_asked_for_and_counted_under_who_did_it(
    browser: Browser, bay: RunningShop, clock: StandingClock
) -> None:
    with phone_in_the_bay(browser, bay) as phone:
        owner = screen(browser, phone.url, 1280)
        owner.sign_in("owner")
        owner.open("/shop")
        owner.page.click("text=Who programs it")
        expect(owner.page.locator("#keys button")).to_be_attached()
        for field, said in (("make", "Norvane"), ("price", "95"), ("days", "2"), ("asked_of", "north side")):
            owner.page.fill(f"#{field}", said)
        owner.page.click("text=Save the price")
        expect(owner.page.locator(".said")).to_contain_text("The advice counts with it.")
        expect(owner.page.locator("#prices ~ ul li")).to_contain_text("a mobile programmer $95 and 2 days")

        page = phone.page
        phone.open("/concerns/1")
        expect(page.locator("#keys button")).to_be_attached()
        page.click("summary:has-text('Do something else')")
        page.click("text=Send it out to be programmed")
        expect(page.locator("main .notice")).to_contain_text("Sent out $95 and 2 days; here $")
        expect(page.locator("#keys button")).to_be_attached()
        page.fill("#sent_to", "Mobile programming")
        if page.locator("#why_not").count():
            page.fill("#why_not", "no time this week")
        page.click("button:has-text('It is out')")
        expect(page.locator("#waits")).to_contain_text("Waits for its result: Mobile programming, due")
        assert phone.fits()

        clock.move(days=2)
        phone.open("/concerns")
        due = page.locator(".notice", has_text="Sent out, result due")
        expect(due).to_contain_text("RO 2087-A")
        due.locator("a").click()
        expect(page.locator("h1")).to_have_text("What came back?")
        expect(page.locator("#keys button")).to_be_attached()
        page.fill("#what_was_done", "PCM programmed, idle relearned")
        page.fill("#after_1", "NV10B")
        for words in ("from a photo", "duplicated"):
            phone.chip(words)
        page.fill("#invoice", "95")
        assert phone.fits()
        page.click("main button:has-text('Write it down')")
        page.wait_for_url("**/release")
        expect(page.locator(".said")).to_contain_text("Still to be asked for: the invoice.")
        phone.open("/concerns/1")
        page.click("button:has-text('Gone')")
        page.wait_for_url("**/release")
        phone.open("/concerns/1")
        expect(page.locator("#history ~ *").first).to_be_attached()
        assert "sent out · before: duplicated · after: gone" in page.content().replace("&middot;", "·")
        phone.open("/concerns/1/close")
        phone.chip("cured by the reflash")
        page.click("button:has-text('Close it')")
        expect(page.locator("#verdict")).to_contain_text("waiting, day 0 of 90")

        owner.open("/review")
        row = owner.page.locator("section[aria-labelledby=ways] tr", has_text="sent out")
        expect(row).to_contain_text("1 waiting")
        row.locator("a").click()
        expect(owner.page.locator(".ref").first).to_contain_text("of sent out")
        assert phone.troubles == owner.troubles == []
