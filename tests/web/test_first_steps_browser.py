"""The first steps in a real Chromium: from the start page by three screens to an answer."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, expect

from kb.desk.context import RunningShop
from tests.kb.intake.reading import FIXTURES
from tests.web.browsing import give_passwords
from tests.web.chromium import screen, served

pytestmark = pytest.mark.browser


def test_an_empty_shop_answers_on_the_third_screen(browser: Browser, sqlite_shop: RunningShop) -> None:
    give_passwords(sqlite_shop)
    with served(sqlite_shop) as address:
        seen = screen(browser, address)
        page = seen.page
        seen.sign_in("owner")
        expect(page.get_by_label("Labor rate")).to_be_visible()
        page.fill("#labor_rate", "165")
        page.fill("#cured_in_10", "6")
        page.get_by_role("button", name="Keep it").click()
        expect(page.locator("s", has_text="Labor rate")).to_be_visible()
        page.set_input_files("#government-file", str(FIXTURES / "recalls_on_cars.csv"))
        page.fill("#makes", "Kia, Volvo")
        assert seen.too_wide_at(390, 1280) == []
        page.get_by_role("button", name="Bring it in").click()
        expect(page.get_by_text("of other makes")).to_be_visible()
        assert seen.too_wide_at(390, 1280) == []
        page.get_by_label("what does the vehicle in the bay do").fill("2014 kia optima fire under the hood")
        page.keyboard.press("Enter")
        expect(page.get_by_text("Read as 2014 KIA OPTIMA")).to_be_visible()
        expect(page.locator("article.match").first).to_contain_text("applies")
        assert seen.too_wide_at(390, 1280) == []
        assert seen.troubles == []
