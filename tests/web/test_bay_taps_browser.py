"""A day in the bay on a phone of 390 x 664: what waits, is asked, ends and fails, by tapping."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Locator, expect

from kb.desk.bay.concern import concerns, facts
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.desk.shop import failure_sheets
from kb.nouns.bay.failure_sheets import FailureSheetDraft
from kb.nouns.vehicles import CalibrationReading, CalibrationSource
from tests.factories import MAKE, a_concern, actor_of, an_update
from tests.web.chromium import Screen, phone_in_the_bay

pytestmark = pytest.mark.browser


@pytest.fixture
def phone(browser: Browser, sqlite_shop: RunningShop) -> Iterator[Screen]:
    shop = sqlite_shop
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
        sheet = FailureSheetDraft(MAKE, "555-0142", "7 AM to 6 PM", "00:00", 81_200, 3)
        failure_sheets.put_failure_sheet(desk, sheet)
    with shop.writing(actor_of(shop, "tech")) as desk:
        first = concerns.open_concern(desk, a_concern()).id
        facts.put_calibration(desk, first, CalibrationReading("PCM", "NV10A", CalibrationSource.READ))
        concerns.open_concern(desk, a_concern(ro_number="2088", complaint="radio dead"))
    with phone_in_the_bay(browser, shop) as bay:
        yield bay


def bottom(of: Locator) -> float:
    box = of.bounding_box()
    assert box is not None
    return box["y"] + box["height"]


def test_what_waits_is_said_with_a_tap_found_in_the_list_and_taken_back(phone: Screen) -> None:
    page = phone.page
    phone.open("/concerns/1")
    page.get_by_role("button", name="part", exact=True).click()
    expect(page.locator("#waits")).to_contain_text("Waits for a part")
    page.get_by_label("Which one, until when").fill("intake hose, Tuesday")
    page.locator(".waits button:has-text('Save')").click()
    expect(page.locator("#waits")).to_contain_text("a part: intake hose, Tuesday")
    assert phone.fits()
    phone.open("/concerns")
    page.locator(".only").get_by_text("part 1").click()
    expect(page.locator(".lines .line-link")).to_have_count(1)
    expect(page.locator(".lines .line-link")).to_contain_text("waits for a part: intake hose")
    assert phone.fits()
    page.locator(".only").get_by_text("part 1").click()
    expect(page.locator(".lines .line-link")).to_have_count(2)
    phone.open("/concerns/1")
    page.get_by_role("button", name="It goes on").click()
    expect(page.locator("#waits")).to_have_count(0)
    page.get_by_role("button", name="cold soak", exact=True).click()
    page.locator(".waits").get_by_role("button", name="Start its clock").click()
    expect(page.get_by_role("link", name="Tag: do not start")).to_be_visible()


def test_an_ro_number_on_file_is_asked_about_and_a_concern_ends_with_a_tap(phone: Screen) -> None:
    page = phone.page
    phone.open("/concerns/new")
    page.get_by_label("RO number").fill("2087")
    page.get_by_label("What the customer says").fill("wipers stop")
    page.locator("button:has-text('Open concern')").first.click()
    expect(page.locator("main")).to_contain_text("RO 2087-A is 2019 Norvane Tessel")
    page.get_by_label("it is this vehicle").check()
    page.locator("button:has-text('Open concern')").first.click()
    expect(page.locator("main .ref").first).to_contain_text("RO 2087-B")
    expect(page.locator(".car")).to_contain_text("Norvane Tessel")
    page.click("summary:has-text('Send to the dealer')")
    page.get_by_role("button", name="no tool for it").click()
    expect(page.locator("#verdict")).to_contain_text("Closed: sent to the dealer")
    page.get_by_role("button", name="Undo: open it again").click()
    expect(page.locator("#to-dealer")).to_be_visible()


def test_a_failure_is_written_down_on_one_screen_and_asks_for_no_road_test(phone: Screen) -> None:
    page = phone.page
    phone.open("/concerns/1/prep")
    expect(page.locator("main")).to_contain_text("the latest start is 12:00 AM: tomorrow")
    expect(page.locator("#at-hand ~ p")).to_contain_text("who tows. Ask the lead")
    phone.open("/concerns/1/failed")
    expect(page.get_by_role("link", name="Call 555-0142")).to_have_attribute("href", "tel:555-0142")
    assert bottom(page.get_by_role("link", name="Write it down")) <= 664
    expect(page.get_by_role("link", name="Keep a photo of the error")).to_be_visible()
    page.get_by_role("link", name="Write it down").click()
    button = page.get_by_role("button", name="Write it down")
    expect(button).to_be_in_viewport(ratio=1)
    assert page.evaluate("scrollY") == 0
    assert phone.fits()
    assert page.get_by_text("road test", exact=False).count() == 0
    page.get_by_label("The error, exactly as on the screen").fill("E-17 transfer stopped at 62 %")
    page.get_by_label("Who was called").fill("support line, Dana")
    button.click()
    expect(page.locator("main")).to_contain_text("Written down. Tell the lead.")
    expect(page.locator("main")).to_contain_text("Stop: A module is not recovered.")
    expect(page.locator("main")).to_contain_text("E-17 transfer stopped at 62 %")
