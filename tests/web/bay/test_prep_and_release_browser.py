"""Getting ready and release on a phone of 390 x 664, in a real Chromium: the next step is in sight."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from kb.desk.bay.concern import concerns
from kb.desk.bay.programming import programming
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult, RoadTest
from kb.nouns.vehicles import CalibrationStep
from tests.factories import a_concern, actor_of, an_update
from tests.web.chromium import Screen, phone_in_the_bay

pytestmark = pytest.mark.browser


@pytest.fixture
def phone(browser: Browser, sqlite_shop: RunningShop) -> Iterator[Screen]:
    """Concern 1 waits for a BCM update; for concern 2 it went in."""
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        printed = ("Hold support at 13.0 to 14.8 V.", "Coolant below 158 \u00b0F before starting.")
        steps = (CalibrationStep("BCM", ("B10",), "B11"),)
        notes.write_note(desk, an_update(steps=steps, precautions=printed))
        concerns.open_concern(desk, a_concern())
        other = concerns.open_concern(desk, a_concern(ro_number="9", odometer=48_210)).id
        done = ModuleResult("BCM", ReflashResult.COMPLETED, 1, concern_ids=(other,))
        programming.record_event(desk, ProgrammingEventDraft((done,), desk.today, road_test=RoadTest.GONE))
    with phone_in_the_bay(browser, sqlite_shop) as bay:
        yield bay


def in_sight(phone: Screen, selector: str) -> bool:
    box = phone.page.locator(selector).first.bounding_box()
    return box is not None and box["y"] >= 0 and box["y"] + box["height"] <= 664


def test_each_measured_thing_is_one_line_with_its_window_and_the_next_is_in_sight(phone: Screen) -> None:
    page = phone.page
    phone.open("/concerns/1/prep?update=1")
    assert phone.fits()
    assert in_sight(phone, "a:has-text('Next: Battery rested')")
    page.click("a:has-text('Next: Battery rested')")
    expect(page.locator("#m-battery_rested")).to_be_in_viewport()
    support = page.locator("#line-support_voltage")
    expect(support).to_contain_text("13 to 14.8 V")
    page.fill("#m-support_voltage", "11.9")
    support.locator(".measure button").click()
    expect(page.locator(".refused")).to_contain_text("11.9 V cannot be right here")
    page.fill("#m-support_voltage", "12.7")
    support.locator(".measure button").click()
    expect(page.locator(".refused")).to_contain_text("12.7 V is outside 13 to 14.8 V")
    assert page.input_value("#m-support_voltage") == "12.7"
    page.fill("#m-support_voltage", "13.8")
    with page.expect_navigation():
        support.locator(".measure button").click()
    expect(support).to_contain_text("inside")
    expect(page.locator("#line-temperature_coolant")).to_contain_text("below 158 \u00b0F")
    assert page.locator("#line-odometer_before").count() == 1


def test_a_required_calibration_keeps_the_vehicle_until_somebody_answers_for_it(phone: Screen) -> None:
    page = phone.page
    phone.open("/concerns/2/release")
    assert phone.fits()
    assert in_sight(phone, "button:has-text('required, not done')")
    page.click("button:has-text('required, not done')")
    expect(page.locator("[data-keep=release-cameras] strong").first).to_have_text("required, not done")
    expect(page.locator("#go ~ .caution").last).to_contain_text("the law asks for it")
    page.fill("#after-release-odometer", "0")
    page.click(".answers:has(#after-release-odometer) button")
    expect(page.locator(".refused")).to_contain_text("49 USC 32704")
    page.fill("#after-release-odometer", "48,210")
    with page.expect_navigation():
        page.click(".answers:has(#after-release-odometer) button")
    phone.open("/concerns/2/close?ending=cured_by_reflash")
    page.click("button:has-text('Close it')")
    expect(page.locator(".refused")).to_contain_text("release the vehicle there by name")
    phone.open("/concerns/2/release")
    page.click("text=Release it with these open")
    page.fill("#reason-", "glass shop calibrates it on Monday")
    page.evaluate("document.querySelector('form[action$=\"/release/go\"]').submit()")
    expect(page.locator(".refused")).to_contain_text("with the customer told")
    assert page.input_value("#reason-") == "glass shop calibrates it on Monday"
    page.click("label:has-text('The customer is told')")
    with page.expect_navigation():
        page.click("text=Release it so")
    expect(page.locator("#go")).to_have_text("Released")
    phone.open("/concerns/2/print")
    expect(page.locator("main")).to_contain_text("glass shop calibrates it on Monday; the customer is told")
    assert phone.fits()
