"""The guide on a phone, by axe and by its width."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from kb.desk.context import RunningShop
from tests.web.chromium import screen, served
from tests.web.guide.test_guide import ADDRESSES
from tests.web.one_hand import faults, load_axe

pytestmark = pytest.mark.browser


LOOKED_AT_CLOSELY = {"/guide": False, "/guide/technician": True, "/guide/keeping": False}
"""What the pages are made of stands on these, in the dark theme or not; tests.bench.axe takes all."""


def test_each_page_is_read_on_a_phone_in_either_theme(browser: Browser, sqlite_shop: RunningShop) -> None:
    with served(sqlite_shop) as url:
        stranger = screen(browser, url, 320)
        for address in ADDRESSES:
            stranger.open(address)
            assert stranger.fits(), address
            if address in LOOKED_AT_CLOSELY:
                load_axe(stranger.page)
                assert faults(stranger.page, 320, dark=LOOKED_AT_CLOSELY[address]) == [], address
        assert stranger.troubles == []
