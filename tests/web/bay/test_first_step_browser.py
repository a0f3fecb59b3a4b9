"""The next step on a phone of 390 x 664, in a real Chromium: in sight, whatever is said above it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from kb.desk.bay.concern import concerns, facts, findings
from kb.desk.bay.handover import next_up, waiting
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.bay.waiting import WaitingFor
from kb.nouns.concerns import CodesScanned, FindingResult
from kb.nouns.notes import SpeaksAgainst
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, CalibrationStep, LookUp
from tests.factories import a_concern, actor_of, an_update
from tests.web.chromium import Screen, phone_in_the_bay

pytestmark = pytest.mark.browser

COMPLAINTS = (
    "brake pedal goes to the floor",
    "gauges go dark over bumps",
    "surges at light throttle uphill when warm",
    "nocrank, no comm w everthing",
    "surges at light throttle uphill, leaks found",
    "surges at light throttle uphill when warm",
    "coolant leak under the front, sweet smell",
    "fuel leak, gas dripping under the rear",
)
BRAKES, GAUGES, SURGE, SILENT, LEAK, NOT_READ, COOLANT, FUEL = range(1, 9)


@pytest.fixture
def phone(browser: Browser, sqlite_shop: RunningShop) -> Iterator[Screen]:
    shop = sqlite_shop
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
        notes.write_note(
            desk,
            an_update(
                number="NV-24-102",
                title="Instrument panel gauges go dark",
                symptom="gauges go dark or blank while driving",
                conditions="Smooth road, warm cabin.",
                steps=(CalibrationStep("IPC", ("D10",), "D11"),),
                speaks_against=(SpeaksAgainst("It happens over bumps"),),
                system="body",
            ),
        )
    with shop.writing(actor_of(shop, "tech")) as desk:
        for number, said in enumerate(COMPLAINTS):
            draft = a_concern(ro_number=str(100 + number), complaint=said)
            one = concerns.open_concern(desk, draft).id
            if one in (SILENT, NOT_READ):
                continue
            facts.put_codes(desk, one, "", CodesScanned.NONE_STORED)
            for module, old, new in (("PCM", "NV10A", "NV10B"), ("IPC", "D10", "D11")):
                facts.put_calibration(desk, one, CalibrationReading(module, old, CalibrationSource.READ))
                facts.put_look_up(desk, one, LookUp(module, desk.today, "tech", new))
        for check, result in (("smoke_test", "yes"), ("bulletin_conditions", "no"), ("fuel_trim", "yes")):
            findings.put_finding(desk, LEAK, check, FindingResult(result))
        next_up.say_next(desk, SURGE, "test again cold", "tech")
        waiting.wait_for(desk, SURGE, WaitingFor.PART, "intake hose, Tuesday")
    with phone_in_the_bay(browser, shop) as bay:
        yield bay


def test_the_next_step_and_its_buttons_are_in_sight_large_enough_and_nothing_sticks_out(
    phone: Screen,
) -> None:
    for concern in (GAUGES, SURGE, SILENT, LEAK, NOT_READ, COOLANT, FUEL, BRAKES):
        phone.open(f"/concerns/{concern}")
        assert phone.fits()
        step = phone.page.locator(".advice .step").first
        expect(step).to_be_in_viewport(ratio=1, timeout=8000)
        buttons = phone.page.locator(".advice .step ~ :is(form, .pick)").first.locator("button, .button")
        assert buttons.count() >= 1
        for button in buttons.all():
            box = button.bounding_box()
            assert box is not None
            assert box["y"] + box["height"] <= 664, (concern, button.inner_text())
            assert box["height"] >= 44
    expect(phone.page.locator("main")).to_contain_text("Do not drive it: brakes.")
    expect(phone.page.locator("#verdict")).to_contain_text("Keep diagnosing")
    sizes = phone.page.locator(".across :is(p, li, summary), .advice :is(.say, .step)").evaluate_all(
        "found => found.map(one => parseFloat(getComputedStyle(one).fontSize))"
    )
    assert sizes
    assert min(sizes) >= 16


def test_a_gate_of_a_silent_vehicle_is_settled_with_one_tap(phone: Screen) -> None:
    phone.open(f"/concerns/{SILENT}")
    expect(phone.page.locator("#verdict")).to_contain_text("Check first")
    step = phone.page.locator(".advice .step").first
    expect(step).to_contain_text("Put a support unit on")
    phone.page.locator(".advice .do").first.click()
    expect(step).to_contain_text("Save codes and freeze frame")


def test_the_leak_is_repaired_and_the_concern_closed_as_that_cause(phone: Screen) -> None:
    phone.open(f"/concerns/{LEAK}")
    step = phone.page.locator(".advice .step").first
    expect(step).to_contain_text("Smoke-test the intake: LEAKS. Repair the leak, test again")
    cause = phone.page.locator(".advice").get_by_label("The cause, in words")
    expect(cause).to_have_value("leak in the intake or crankcase ventilation")
    phone.page.locator(".advice").get_by_text("Fixed without a reflash: close it").click()
    expect(phone.page.locator("#verdict")).to_contain_text("Closed: another cause was found")
    expect(phone.page.locator(".say")).to_contain_text("leak in the intake or crankcase ventilation")
    phone.page.get_by_text("Undo: open it again").click()
    expect(step).to_contain_text("Smoke-test the intake: LEAKS. Repair the leak, test again")
