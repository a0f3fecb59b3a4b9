"""Reflashes read from texts answered in a real Chromium: by keyboard at a desk, without script on a phone."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, expect

from kb.desk.context import RunningShop
from tests.kb.desk.imports.importing import take
from tests.kb.desk.imports.test_reflashes_read import BARE, GONE, UNPLAIN, texts
from tests.web.chromium import Screen, screen

pytestmark = pytest.mark.browser


@pytest.fixture
def url(bay: RunningShop, url: str) -> str:
    take(bay, "history", texts(GONE, GONE, GONE, BARE, UNPLAIN))
    return url


def tab_to(desk: Screen, words: str) -> None:
    """Only by the Tab key; a summary, field or button whose words or label are these."""
    said = "(one => one.labels?.[0]?.textContent || one.textContent)(document.activeElement).trim()"
    for _ in range(60):
        desk.page.keyboard.press("Tab")
        if desk.page.evaluate(said).startswith(words):
            return
    raise AssertionError(f"{words} is not reached by the Tab key")


def test_a_group_is_corrected_and_counted_by_keyboard(browser: Browser, url: str) -> None:
    desk = screen(browser, url, 1280)
    desk.sign_in("lead")
    desk.open("/imports/1#reflashes")
    tab_to(desk, "Say otherwise for all of them")
    desk.page.keyboard.press("Enter")
    tab_to(desk, "Update number")
    desk.page.keyboard.press("Control+a")
    desk.page.keyboard.type("NV-24-999")
    tab_to(desk, "Count 3")
    desk.page.keyboard.press("Enter")
    expect(desk.page.locator("body")).to_contain_text("3 reflashes counted.")
    expect(desk.page.locator("#reflashes + p")).to_contain_text("1 reflash in 1 group")
    assert desk.fits()
    assert desk.troubles == []


def test_single_texts_are_answered_on_a_phone_without_script(browser: Browser, url: str) -> None:
    phone = screen(browser, url, script=False, dark=True)
    phone.sign_in("lead")
    phone.open("/imports/1")
    assert phone.fits()
    expect(phone.page.locator("#not-plain + p")).to_contain_text("1 text speaks of programming")
    phone.page.click("text=Look at it")
    assert phone.fits()
    phone.page.check("input[name=only]")
    phone.page.fill("input[name=update]", "NV-24-101")
    phone.page.click("text=Count the ticked ones")
    expect(phone.page.locator("body")).to_contain_text("1 reflash counted.")
    expect(phone.page.locator("main")).to_contain_text("0 to be answered, 1 counted")
