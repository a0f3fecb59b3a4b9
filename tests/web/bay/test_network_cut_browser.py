"""The connection is cut at every step of a job: before a form is there, and after it was taken but before its
answer came. Nothing typed is lost, and nothing is saved twice.
"""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, Locator, Page, Route, expect
from sqlalchemy import func, select

from kb.desk.context import RunningShop
from kb.records import tables
from tests.conftest import StandingClock
from tests.web.chromium import screen
from tests.web.filling_in import fill_in_a_concern

pytestmark = pytest.mark.browser


_WHAT_IS_SENT = re.compile(r"^(?!.*/static/)")  # whatever else is asked for passes as fast as ever


class BadLine:
    """A connection that is cut before what is sent is there, then before its answer is, and then holds."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.tries = self.presses = 0
        self.retry = page.locator(".unsaved-note button", has_text="Retry")
        page.add_init_script("setInterval = () => 0")  # nothing is tried again by itself
        page.route(_WHAT_IS_SENT, self._pass)

    def _pass(self, route: Route) -> None:
        if route.request.method != "POST":
            route.continue_()
            return
        self.tries += 1
        if self.tries == 1:
            route.abort("internetdisconnected")
        elif self.tries == 2:
            assert route.fetch(max_redirects=0).status < 400
            route.abort("connectionreset")
        else:
            route.continue_()

    def _fails_twice(self, button: Locator) -> None:
        self.presses += 1
        self.page.wait_for_load_state()  # the page's script is there
        for tries in (1, 2):
            (button if tries == 1 else self.retry).click()
            expect(self.page.locator("form[data-sent]")).to_have_count(0)
            expect(self.retry).to_have_count(1)
            assert self.tries == tries

    def press(self, button: Locator) -> None:
        """Send a form, until it is saved and the page that answers is there."""
        self.tries = 0
        self._fails_twice(button)
        with self.page.expect_navigation():
            self.retry.click()

    def tap(self, button: Locator) -> None:
        """Tap a result, and load the page again in between: it stays marked."""
        self.tries = 0
        self._fails_twice(button)
        self.page.reload()
        self.retry.click()
        expect(self.page.locator(".toast")).to_contain_text("Undo")
        expect(self.retry).to_have_count(0)


def how_many(shop: RunningShop) -> dict[str, int]:
    """Rows of what the job makes."""
    with shop.reading() as desk:
        return {
            table.__tablename__: desk.session.scalar(select(func.count()).select_from(table)) or 0
            for table in MADE
        }


MADE = (
    tables.ConcernRow,
    tables.DecisionRow,
    tables.FindingRow,
    tables.FollowUpRow,
    tables.LookUpRow,
    tables.ProgrammingEvent,
    tables.Reflash,
)


def test_a_job_over_a_bad_line_loses_nothing_and_saves_nothing_twice(
    browser: Browser, address: str, sqlite_shop: RunningShop, clock: StandingClock
) -> None:
    bay = screen(browser, address)
    page = bay.page
    bay.sign_in("tech")
    line = BadLine(page)
    bay.open("/concerns/new")
    fill_in_a_concern(bay)
    line.press(page.locator("button:has-text('Open concern')").first)
    expect(page).to_have_url(f"{address}/concerns/1")

    page.fill("#id-now", "NV10A")
    line.press(page.locator("button:has-text('From the vehicle')"))
    page.fill("#newest-now", "NV10B")
    line.press(page.locator("button:has-text('Newer one')"))
    line.tap(page.locator(".advice .pick button.do").nth(1))
    if page.locator("#verdict").inner_text() == "Reflash":
        line.press(page.locator("button", has_text="Prep for programming"))
    else:
        page.click("text=Do something else…")
        bay.chip("Reflash now")
        bay.chip("customer insists")
        line.press(page.locator("button", has_text="Write down what is done"))

    expect(page.locator("h1")).to_contain_text("PCM")
    signs = page.locator("button:has-text('sign as tech'):visible")
    line.press(signs.first)
    page.fill("#m-battery_rested", "12.6")
    line.press(page.locator("#line-battery_rested .measure button"))
    page.fill("#m-support_voltage", "13.4")
    line.press(page.locator("#line-support_voltage .measure button"))
    blocks = page.locator(".prep-line:visible", has_text="Blocks:")
    while blocks.count():
        blocks.first.locator("[name=reason]").fill("borrowed one")
        line.press(blocks.first.locator("button:has-text('Pass as')"))
    while signs.count():
        line.press(signs.first)
    line.press(page.locator("button", has_text="Start programming"))
    page.click("a:has-text('record it')")
    page.fill("#after_1", "NV10B")
    for words in ("completed", "read from the module", "duplicated", "gone"):
        bay.chip(words)
    line.press(page.locator("button:not([aria-hidden])", has_text="Write it down"))
    line.tap(page.locator("button", has_text="required, not done"))
    page.click("text=Release it with these open")
    page.fill("#reason-", "glass shop calibrates it on Monday")
    page.click("label:has-text('The customer is told')")
    line.press(page.locator("button", has_text="Release it so"))
    page.click("text=Close RO 2087-A")
    line.press(page.locator("button", has_text="Close it"))
    expect(page.locator(".ref").first).to_contain_text("reflashed, waiting, day 0 of 90")

    clock.move(days=5)  # nobody stays signed in so long unseen
    bay.sign_in("tech")
    bay.open("/concerns/1/follow-up")
    bay.chip("fine")
    line.press(page.locator("button:not([aria-hidden])", has_text="Write it down"))
    assert how_many(sqlite_shop) == {
        "calibration_look_up": 1,
        "concern": 1,
        "decision": 1,
        "finding": 1,
        "follow_up": 1,
        "programming_event": 1,
        "reflash": 1,
    }
    assert line.presses > 14
    assert page.evaluate("Object.keys(localStorage).filter((one) => one.includes('unsaved'))") == []
    assert {one for one in bay.troubles if "net::ERR" not in one} == set()


def test_what_is_typed_is_there_again_for_the_one_who_typed_it(
    browser: Browser, address: str, sqlite_shop: RunningShop
) -> None:
    bay = screen(browser, address)
    page = bay.page
    bay.sign_in("tech")
    complaint = page.locator("#complaint")
    note = page.locator(".unsaved-note")

    def come_in(name: str) -> None:
        page.click("text=Switch person")
        bay.sign_in(name)
        bay.open("/concerns/new")
        page.wait_for_selector("datalist", state="attached")  # the page's script is there

    bay.open("/concerns/new")
    page.wait_for_selector("datalist", state="attached")
    complaint.fill("half an hour of typing")
    bay.chip("warm engine")
    come_in("owner")
    expect(complaint).to_have_value("")
    expect(note).to_have_count(0)
    for _ in range(4):  # nor by going back to the page where it was typed
        page.go_back()
        typed = page.evaluate("[...document.querySelectorAll('textarea')].map((one) => one.value)")
        assert not any("half an hour" in one for one in typed), page.url
    bay.open("/concerns/new")
    come_in("tech")
    expect(complaint).to_have_value("half an hour of typing")
    expect(page.locator("[name=conditions]:checked")).to_have_count(1)
    expect(note).to_contain_text("Restored what was not saved")

    # Sent without a connection it says so, on other pages too, and goes by itself once there is one.
    page.fill("#ro_number", "2088")
    page.context.set_offline(True)
    page.locator("button:has-text('Open concern')").first.click()
    expect(note).to_contain_text("Not saved yet: no connection")
    page.context.set_offline(False)
    page.wait_for_url("**/concerns/1")

    # A text over a version that somebody saved meanwhile: both are shown, and the fields are as typed.
    bay.open("/concerns/1/edit")
    complaint.fill("mine: bucks uphill")
    page.route(
        "**/edit", lambda route: route.abort() if route.request.method == "POST" else route.continue_()
    )
    page.locator("button:has-text('Save')").first.click()
    expect(note).to_contain_text("Not saved yet")
    page.unroute("**/edit")
    bay.open("/concerns")
    expect(page.locator(".elsewhere")).to_contain_text("RO 2088-A")
    other = screen(browser, address, 1280)
    other.sign_in("owner")
    other.open("/concerns/1/edit")
    other.page.fill("#complaint", "theirs: jerks")
    with other.page.expect_navigation():
        other.page.locator("button:has-text('Save')").first.click()
    page.click(".elsewhere a")
    expect(note).to_contain_text("Somebody saved this since")
    page.click(".unsaved-note button:has-text('Retry')")
    expect(page.locator("[data-focus]")).to_be_visible()
    expect(page.locator("main")).to_contain_text("theirs: jerks")
    expect(complaint).to_have_value("mine: bucks uphill")
    page.reload()
    expect(complaint).to_have_value("mine: bucks uphill")
    page.click(".unsaved-note button:has-text('Discard')")
    expect(complaint).to_have_value("theirs: jerks")
    page.reload()
    expect(complaint).to_have_value("theirs: jerks")
    expect(note).to_have_count(0)
