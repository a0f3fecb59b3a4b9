"""The sign-in page on a phone: what is typed may be seen, a wait is counted down, without a script too."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, expect

from kb.desk.context import RunningShop
from tests.conftest import StandingClock
from tests.web.browsing import PASSWORD, give_passwords
from tests.web.chromium import Screen, screen, served
from tests.web.one_hand import faults, load_axe, unfold
from web.pages.access import sign_in

pytestmark = pytest.mark.browser


def test_three_wrong_passwords_on_a_phone_count_down_with_and_without_a_script(
    browser: Browser, sqlite_shop: RunningShop, clock: StandingClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sign_in, "_LOOKS_AGAIN", 1)
    give_passwords(sqlite_shop)
    with served(sqlite_shop) as url:
        seen, plain = screen(browser, url, 390), screen(browser, url, 390, script=False)
        seen.open("/sign-in")
        seen.page.get_by_role("button", name="Show what I type").click()
        assert seen.page.get_attribute("#password", "type") == "text"
        for _ in range(3):
            try_to_come_in(seen, "a guess")
            expect(seen.page.get_by_role("alert")).to_contain_text("do not match")
        expect(seen.page.get_by_role("alert")).to_contain_text("wait 1 minute")
        expect(seen.page.get_by_role("timer")).to_have_text(re.compile(r"0:5\d"))
        assert seen.fits()
        plain.open("/sign-in")
        try_to_come_in(plain, PASSWORD)
        expect(plain.page.get_by_role("alert")).to_contain_text("Too many wrong tries. Wait 1 minute")
        clock.move(seconds=30)
        expect(plain.page.get_by_role("timer")).to_have_text("0:30")  # the page asked again by itself
        clock.move(seconds=30)
        expect(plain.page.get_by_role("status")).to_contain_text("You can try again now")
        try_to_come_in(plain, PASSWORD)
        expect(plain.page).to_have_url(re.compile("/concerns$"))
        held = screen(browser, url, 390)
        held.sign_in("owner")
        counting = f"/sign-in?until={clock.now.timestamp() + 59:.0f}"
        for path in (counting, "/me", "/me/password", "/shop/people"):
            held.open(path)
            load_axe(held.page)
            unfold(held.page)
            assert faults(held.page, 390, dark=False) == [], path


def try_to_come_in(seen: Screen, password: str) -> None:
    seen.page.fill("#name", "tech")
    seen.page.fill("#password", password)
    seen.page.get_by_role("button", name="Sign in", exact=True).click()
