"""Write from a paste in a real Chromium: on a phone without scripts, and at a desk by tapping."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, expect

from tests.web.chromium import screen
from tests.web.notes.test_pasting import PAPER

pytestmark = pytest.mark.browser


@pytest.mark.parametrize(("width", "script"), [(390, False), (1280, True)])
def test_a_whole_bulletin_takes_six_taps_at_most(
    browser: Browser, url: str, width: int, script: bool
) -> None:
    desk = screen(browser, url, width=width, script=script)
    desk.sign_in("lead")
    desk.open("/notes")
    desk.page.click("text=Write from a paste")
    desk.page.fill("#text", PAPER)
    assert desk.fits()
    taps = 0

    def tap(words: str) -> None:
        nonlocal taps
        taps += 1
        desk.page.locator("button", has_text=words).first.click()

    tap("Read it")
    expect(desk.page.locator("h1")).to_have_text("What the paste says")
    assert desk.fits()
    symptom = desk.page.locator(".proposal", has=desk.page.locator("label", has_text="Symptom"))
    expect(symptom.locator("input[name=take]")).not_to_be_checked()
    symptom.locator("small a").click()
    expect(desk.page.locator("mark:target")).to_contain_text("may surge at light throttle")
    groups = desk.page.locator("button[name=group]")
    for heading in groups.evaluate_all("buttons => buttons.map(button => button.value)"):
        button = desk.page.locator(f"button[value='{heading}']")
        assert button.evaluate("button => button.getBoundingClientRect().height") >= 48
        taps += 1
        button.click()
        expect(button).to_have_count(0)
        assert "#group-" in desk.page.url, "the page stays at the group"
    expect(symptom.locator("input[name=take]")).to_be_checked()
    assert desk.fits()
    tap("Save as a draft")
    expect(desk.page.locator("h1")).not_to_have_text("What the paste says")
    expect(desk.page.locator("main")).to_contain_text("draft")
    for said in ("may surge at light throttle", "0447D", "does not correct an intake leak", "idle learn"):
        expect(desk.page.locator("main")).to_contain_text(said)
    assert desk.fits()
    assert taps <= 6
    assert desk.troubles == []
