"""The sign-in page on a phone: what is typed may be seen, a wait is counted down, without a script too."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, expect

from kb.desk.context import RunningShop
from tests.conftest import StandingClock
from tests.web.browsing import PASSWORD, give_passwords
from tests.web.chromium import screen, served
from web.pages.access import sign_in

pytestmark = pytest.mark.browser


def test_three_wrong_passwords_on_a_phone_count_down_with_and_without_a_script(
    browser: Browser, sqlite_shop: RunningShop, clock: StandingClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sign_in, "_LOOKS_AGAIN", 1)
    give_passwords(sqlite_shop)
    with served(sqlite_shop) as url:
        for name, script in (("tech", True), ("lead", False)):
            seen = screen(browser, url, 390, script=script)
            seen.open("/sign-in")
            if script:
                seen.page.fill("#password", "seen as typed")
                seen.page.get_by_role("button", name="Show what I type").click()
                assert seen.page.get_attribute("#password", "type") == "text"
            for _ in range(3):
                seen.page.fill("#name", name)
                seen.page.fill("#password", "a guess")
                seen.page.click("text=Sign in >> nth=-1")
                expect(seen.page.get_by_role("alert")).to_contain_text("do not match")
            timer = seen.page.get_by_role("timer")
            expect(seen.page.get_by_role("alert")).to_contain_text("wait 1 minute")
            assert seen.fits()
            if script:
                expect(timer).to_have_text(re.compile(r"0:5\d"))
                clock.move(minutes=1)
                seen.page.get_by_role("link", name="Somebody else signs in").click()
            else:
                expect(timer).to_have_text("1:00")
                clock.move(seconds=30)
                expect(timer).to_have_text("0:30")  # the page asked again by itself
                clock.move(seconds=30)
                expect(seen.page.get_by_role("status")).to_contain_text("You can try again now")
            seen.page.fill("#name", name)
            seen.page.fill("#password", PASSWORD)
            seen.page.click("text=Sign in >> nth=-1")
            expect(seen.page).to_have_url(re.compile("/concerns$"))
