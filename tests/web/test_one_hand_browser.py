"""Every page in a real Chromium by one gloved hand, a keyboard, and whoever needs more than eyes."""

from __future__ import annotations

from itertools import cycle

import pytest
from playwright.sync_api import Browser, expect

from kb.desk.context import RunningShop
from kb.desk.notes import notes
from tests.factories import a_note, actor_of
from tests.web import keyboard, one_hand
from tests.web.browsing import Visitor
from tests.web.chromium import Screen, screen, served
from tests.web.test_every_page import crawl

pytestmark = pytest.mark.browser

WIDTHS = cycle((320, 1280, 390))
THEMES = cycle((False, True))
CONTRAST = cycle((True, False, False, True))  # half of an axe's time; both themes
# What a page does some seconds later it does at once.
HURRY = "const wait = setTimeout; window.setTimeout = (what, ms) => wait(what, Math.min(ms, 200))"


def signed_in(browser: Browser, url: str, shop: RunningShop, name: str, width: int = 390) -> Screen:
    """Without the form of the sign-in: by the cookie of a visitor who went through it."""
    found = screen(browser, url, width)
    found.come_in_as(Visitor(shop).sign_in(name).client)
    return found


def test_no_page_shuts_anybody_out_sticks_out_or_asks_for_a_small_finger(
    browser: Browser, reflashed: RunningShop
) -> None:
    """Every second kind of page, widths and themes in turn, contrast on every other of them;
    `tests.bench.axe` shows all to everybody.
    """
    paths = one_hand.one_of_each(crawl(Visitor(reflashed).sign_in("owner")), one_hand.by_address)[::2]
    assert len(paths) > 12
    found = []
    with served(reflashed) as url:
        owner = signed_in(browser, url, reflashed, "owner")
        for path, width, dark, contrast in zip(paths, WIDTHS, THEMES, CONTRAST, strict=False):
            owner.open(path)
            one_hand.load_axe(owner.page)
            one_hand.unfold(owner.page)
            wrong = one_hand.faults(owner.page, width, dark=dark, contrast=contrast)
            found += [f"{path} at {width}: {one}" for one in wrong]
        assert owner.troubles == []
    assert found == [], "\n".join(found)


def test_one_endless_word_of_a_title_or_a_search_sticks_out_nowhere(
    browser: Browser, reflashed: RunningShop
) -> None:
    word = "x" * 300
    with reflashed.writing(actor_of(reflashed, "lead")) as desk:
        note_id = notes.write_note(desk, a_note(title=word, symptom=word)).id
    with served(reflashed) as url:
        lead = signed_in(browser, url, reflashed, "lead", 320)
        lead.open(f"/search?q={'y' * 300}")
        for path in (
            "/queues/unanswered",
            "/lexicon",
            "/notes",
            f"/notes/{note_id}",
            f"/notes/{note_id}/merge",
        ):
            lead.open(path)
            assert lead.fits(), path


def test_single_keys_search_begin_walk_and_tell_unless_somebody_types_or_turned_them_off(
    browser: Browser, reflashed: RunningShop
) -> None:
    with served(reflashed) as url:
        desk = signed_in(browser, url, reflashed, "tech", 1280)
        page, keys = desk.page, desk.page.keyboard
        desk.open("/concerns")
        switch = page.locator("#keys button")
        expect(switch).to_have_text("Turn single keys off")
        for key, row in (("j", 0), ("j", 1), ("k", 0)):
            keys.press(key)
            expect(page.locator("main :is(a.line-link, h2 > a)").nth(row)).to_be_focused()
        keys.press("/")
        expect(page.locator("#q")).to_be_focused()
        keys.type("n?/j")
        expect(page.locator("#q")).to_have_value("n?/j")
        desk.open("/concerns/1")
        expect(switch).to_have_text("Turn single keys off")
        keys.press("/")
        page.wait_for_url("**/search#q")
        expect(page.locator("#q")).to_be_focused()
        keys.press("Tab")
        keys.press("?")
        expect(page.locator("#keys")).to_have_attribute("open", "")
        keyboard.press(switch)
        expect(switch).to_have_text("Turn single keys on")
        page.reload()
        expect(switch).to_have_text("Turn single keys on")
        for key in ("n", "?", "/"):
            keys.press(key)
        assert page.url.endswith("/search#q")
        assert page.evaluate("document.querySelector('#keys').open") is False
        assert desk.troubles == []


def test_after_a_tap_focus_is_on_the_renewed_step_and_undo_waits_beside_it(
    browser: Browser, bay: RunningShop
) -> None:
    with served(bay) as url:
        phone = signed_in(browser, url, bay, "tech")
        page = phone.page
        page.add_init_script(HURRY)
        phone.open("/concerns/1")
        step, toast = page.locator("#step"), page.locator(".toast")
        before, asked = step.inner_text(), step.locator("span").first.inner_text()
        keyboard.press(page.locator(".advice .pick button.do").first)
        expect(step).not_to_have_text(before)
        expect(step).to_be_focused()
        expect(toast.locator("button")).to_have_text("Undo")
        expect(toast).to_contain_text(f"{asked}: ")
        page.wait_for_timeout(1_000)
        page.keyboard.press("Tab")
        expect(toast.locator("button")).to_be_focused()
        page.wait_for_timeout(1_000)
        page.keyboard.press("Enter")
        expect(step).to_have_text(before)
        expect(step).to_be_focused()
        keyboard.press(page.locator(".findings .pair button").first)
        expect(page.locator(".findings .pair button:focus")).to_be_visible()
        expect(toast.locator("button")).to_have_text("Undo")
        page.locator("#main").focus()
        expect(toast).to_be_hidden()
        assert phone.troubles == []
