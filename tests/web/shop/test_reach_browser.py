"""A tablet is shown the address and its code, and works under HTTPS as it does without."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser, expect

from api.connection import kept, reach, tls
from api.settings import from_environment
from kb.desk.context import RunningShop, utc_now
from tests.web.browsing import PASSWORD, give_passwords
from tests.web.chromium import screen, served


@pytest.fixture
def secured(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The environment of a server under HTTPS that tablets reach, with its certificates."""
    told = {"HOST": "0.0.0.0", "PORT": "8000", "HTTPS": "yes", "DATA": str(tmp_path)}  # noqa: S104
    for name, value in told.items():
        monkeypatch.setenv(f"BEFOREFLASH_{name}", value)
    for module in (kept, reach):
        monkeypatch.setattr(module, "reached_by", lambda _host: ("192.168.1.20", "10.8.0.1"))
    kept.renew(from_environment(), utc_now())


@pytest.mark.browser
def test_a_tablet_signs_in_under_https_and_shows_the_next_one_the_way(
    browser: Browser, noted: RunningShop, secured: None
) -> None:
    give_passwords(noted)
    with served(noted, {"ssl_context_factory": tls.of_this_process}) as url:
        tablet = screen(browser, url, 360, dark=True)
        page = tablet.page
        tablet.open("/sign-in?next=/shop")
        expect(page.get_by_text("not encrypted")).to_have_count(0)
        page.get_by_role("textbox", name="Name").fill("owner")
        page.get_by_role("textbox", name="Password").fill(PASSWORD)
        page.get_by_role("button", name="Sign in").click()
        page.get_by_role("link", name="Reach it from a tablet").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("Reach it from a tablet")
        expect(page.get_by_text("http://192.168.1.20:8000/", exact=True)).to_be_visible()
        expect(page.get_by_text("https://10.8.0.1:8443/")).to_be_visible()
        picture = Image.open(io.BytesIO(page.locator(".code-for-camera").screenshot())).convert("L")
        assert [one.text for one in zxingcpp.read_barcodes(np.asarray(picture))] == [
            "http://192.168.1.20:8000/"
        ]
        assert tablet.fits()
        held = {one["name"]: one for one in page.context.cookies()}
        assert {"__Host-beforeflash_session", "__Host-beforeflash_device"} <= set(held)
        assert all(one["secure"] and one["httpOnly"] for one in held.values())
        page.get_by_role("button", name="Switch person").click()
        expect(page.get_by_role("button", name="Sign in")).to_be_visible()
        assert "__Host-beforeflash_session" not in {one["name"] for one in page.context.cookies()}
        assert tablet.troubles == []
