"""The guide on a phone, by axe and by its width."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from kb.desk.context import RunningShop
from tests.web.chromium import screen, served
from tests.web.guide.test_guide import ADDRESSES
from tests.web.one_hand import faults, load_axe

pytestmark = pytest.mark.browser


def test_each_page_is_read_on_a_phone_in_either_theme(browser: Browser, sqlite_shop: RunningShop) -> None:
    with served(sqlite_shop) as url:
        stranger = screen(browser, url, 360)
        for number, address in enumerate(ADDRESSES):
            stranger.open(address)
            load_axe(stranger.page)
            assert faults(stranger.page, 320, dark=bool(number % 2)) == [], address
