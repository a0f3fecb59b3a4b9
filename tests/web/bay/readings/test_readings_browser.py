"""From a VIN that begins like one we had to IDs compared after programming, on a phone and at a desk."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import timedelta

import pytest
from playwright.sync_api import Browser, expect

from kb.desk.bay.concern import concerns, facts
from kb.desk.bay.programming import programming
from kb.desk.context import CONSOLE, RunningShop
from kb.desk.notes import notes
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, LookUp
from tests.factories import a_concern, a_vehicle, actor_of, an_update
from tests.web.chromium import Screen, phone_in_the_bay

pytestmark = pytest.mark.browser

VIN = "1M8GDM9AXKP042788"  # published worked example of the check digit
ALIKE = "1M8GDM9A1KP042789"  # the next number of the same vehicle, its check digit worked by hand
DONE = ReflashResult.COMPLETED


def begun(shop: RunningShop) -> None:
    """A vehicle that we reflashed 20 days ago is here again, and a like one was looked up 5 days ago."""
    tech = actor_of(shop, "tech")
    with shop.writing(CONSOLE) as desk:
        notes.write_note(desk, an_update())
    with shop.writing(tech) as desk:
        car = a_vehicle(vin=VIN, year=1989)
        was = concerns.open_concern(desk, a_concern(vehicle=car, opened_on=desk.today - timedelta(days=30)))
        module = ModuleResult("PCM", DONE, None, "NV10A", "NV10B", "1A2B", concern_ids=(was.id,))
        programming.record_event(desk, ProgrammingEventDraft((module,), desk.today - timedelta(days=20)))
        like = a_vehicle(year=1989, vin="")
        other = concerns.open_concern(desk, a_concern(vehicle=like, ro_number="2101")).id
        facts.put_look_up(desk, other, LookUp("TCM", desk.today - timedelta(days=5), "Ines", "NV77"))
        concerns.open_concern(desk, a_concern(vehicle=car, ro_number="2300"))


@pytest.fixture
def phone(browser: Browser, sqlite_shop: RunningShop) -> Iterator[Screen]:
    begun(sqlite_shop)
    with phone_in_the_bay(browser, sqlite_shop, height=800) as shown:
        yield shown


def test_what_is_known_is_taken_with_a_tap_and_what_is_read_is_compared(
    phone: Screen, sqlite_shop: RunningShop
) -> None:
    page = phone.page
    phone.open("/concerns/new")
    expect(page.locator("[data-known-of-vin] button")).to_have_count(0)  # the script is there
    page.fill("#vin", ALIKE)
    page.click("text=Take 1989 Norvane Tessel 2.0 L")
    expect(page.locator("#complaint")).to_be_focused()
    expect(page.locator("#engine")).to_have_value("2.0 L")
    page.fill("#ro_number", "2400")
    page.fill("#complaint", "bucks at light throttle")
    assert phone.fits()
    page.click("button.big:has-text('Open concern') >> nth=0")
    page.wait_for_url("**/concerns/4")

    phone.open("/concerns/3")
    expect(page.locator(".known")).to_have_count(2)
    take = page.locator("button:has-text('from our records')")
    box = take.bounding_box()
    assert box is not None
    assert box["height"] >= 48
    take.click()
    expect(page.locator("text=by our records, not confirmed")).to_be_visible()
    page.click("button:has-text('Looked up by this VIN today')")
    expect(page.locator("text=Look-up saved.")).to_be_visible()
    expect(page.locator(".known")).to_have_count(0)
    assert phone.fits()

    snapshot = {
        "vin": VIN,
        "taken_at": "2026-10-31T08:00:00",
        "moment": "before",
        "modules": [{"module": "PCM", "calibrations": [{"calibration_id": "NV10A", "cvn": "1A2B"}]}],
        "codes": [{"code": "P0171", "module": "PCM", "status": "pending"}],
        "readiness": {"catalyst": "not_ready"},
        "voltage": 12.4,
    }
    file = {"name": "car.json", "mimeType": "application/json", "buffer": json.dumps(snapshot).encode()}
    phone.open("/concerns/2/readings")
    page.set_input_files("#snapshot-file", file)
    page.click("button:has-text('Take it in')")
    expect(page.locator(".refused")).to_contain_text("Nothing was filled in")
    assert phone.fits()
    page.click("button:has-text('Keep it with RO 2300-A')")
    expect(page.locator("[role=status]")).to_contain_text("6 values kept with RO 2300-A")
    assert phone.fits()

    with sqlite_shop.writing(actor_of(sqlite_shop, "tech")) as desk:
        module = ModuleResult("PCM", DONE, None, "NV10A", "NV10B", "1A2B", concern_ids=(3,))
        programming.record_event(desk, ProgrammingEventDraft((module,), desk.today), done_twice=True)
        again = CalibrationReading("PCM", "NV10B", CalibrationSource.READ, cvn="9F9F")
        facts.put_calibration(desk, 3, again)
    phone.open("/concerns/3/readings")
    expect(page.locator("section[aria-labelledby=compared]")).to_contain_text("ID changed, CVN changed")
    strike = page.locator("button[aria-label='Strike PCM 9F9F']")
    strike.click()
    expect(page.locator("section[aria-labelledby=compared]")).to_contain_text("not proven")
    assert phone.fits()
    page.set_viewport_size({"width": 1280, "height": 800})
    assert phone.fits()
    assert [one for one in phone.troubles if "409" not in one] == []
