"""A tablet turned around, a text copied where there is no clipboard, a soak's tag: in a real Chromium."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, expect

from kb.desk.context import RunningShop
from tests.web.chromium import phone_in_the_bay

pytestmark = pytest.mark.browser


def test_a_soak_is_started_the_customer_asked_and_the_ro_copied_over_plain_http(
    browser: Browser, bay: RunningShop
) -> None:
    with phone_in_the_bay(browser, bay, width=360, height=800) as shown:
        page = shown.page
        shown.open("/concerns/1")
        page.click("#handover > summary")
        page.fill("#clock-until", "7:40 AM")
        page.click("#handover button[value=soak]")
        expect(page.locator(".clock")).to_contain_text("cold soak until Nov 1 7:40 AM")
        assert shown.fits()
        page.click("text=Tag: do not start")
        expect(page.get_by_role("heading", name="DO NOT START")).to_be_visible()
        assert shown.fits()

        shown.open("/concerns/1/authorization")
        page.fill("#proposed", "Update the engine computer")
        page.fill("#amount", "180")
        shown.chip("credited")
        page.click("text=Turn the tablet around")
        expect(page.locator(".told li")).to_have_count(5)
        assert page.locator("nav").count() == 0
        assert shown.fits()
        page.fill("#who", "Ines Tovar")
        page.click("text=I agree")
        expect(page.get_by_role("heading", name="Thank you, Ines Tovar.")).to_be_visible()
        page.click("text=For the shop: go on")

        shown.open("/concerns/1/ro-text")
        page.evaluate("Object.defineProperty(navigator, 'clipboard', { value: undefined })")
        page.click("button[data-copy-from=ro-text]")
        expect(page.locator("button[data-copy-from=ro-text]")).to_have_text("Copied")
        text = page.input_value("#ro-text")
        said = "agreed, up to $180: update the engine computer; Ines Tovar, on the tablet"
        assert said in " ".join(text.split())
        assert page.evaluate("getSelection().toString()").replace("\r", "") == text
        assert shown.fits()
        assert shown.troubles == []
