"""A value on a phone of 390 x 664, in a real Chromium, with scripts and without: one field and one button."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from kb.desk.context import RunningShop
from tests.web.chromium import Screen, phone_in_the_bay
from tests.web.conftest import SignIn

pytestmark = pytest.mark.browser


@pytest.fixture
def phone(browser: Browser, bay: RunningShop) -> Iterator[Screen]:
    with phone_in_the_bay(browser, bay) as shown:
        shown.open("/concerns/1")
        if shown.page.locator("#more-checks").count():
            shown.page.click("#more-checks > summary")
        yield shown


def row(page: Page, check: str) -> str:
    return f"[data-keep=check-{check}]"


def type_value(page: Page, check: str, value: str) -> None:
    page.fill(f"#value-{check}-number", value)
    page.click(f"{row(page, check)} button:has-text('Save value')")


def test_a_value_decides_on_the_phone_is_refused_in_a_sentence_and_can_be_undone(phone: Screen) -> None:
    page = phone.page
    drop = page.locator(row(page, "voltage_drop"))
    field, button = (
        drop.locator(f".number {one}").first.bounding_box() for one in ("[name=number]", "button")
    )
    assert field is not None
    assert button is not None
    assert field["height"] >= 60
    assert button["height"] >= 60
    assert abs(field["y"] - button["y"]) < 2
    assert button["x"] >= field["x"] + field["width"]
    assert phone.fits()

    type_value(page, "voltage_drop", "420")
    why = "420 V cannot be: it lies between 0 and 30 V. Look at the number and the unit."
    expect(drop.get_by_role("alert")).to_have_text(why)
    expect(page.locator("#value-voltage_drop-number")).to_have_value("420")
    type_value(page, "voltage_drop", "0.42")
    expect(drop).to_have_attribute("data-result", "yes")
    expect(drop.locator("strong").first).to_have_text("0.42 V")
    expect(page.locator(".toast")).to_contain_text("0.42")
    page.click(".toast button:has-text('Undo')")
    expect(page.locator(f"{row(page, 'voltage_drop')}[data-result='yes']")).to_have_count(0)

    trim = page.locator(row(page, "fuel_trim"))
    type_value(page, "fuel_trim", "18")
    expect(trim).to_contain_text("the value leaves it open")
    trim.locator("button:has-text('OVER +10%')").click()
    expect(trim).to_have_attribute("data-result", "yes")
    expect(trim.locator("strong").first).to_have_text("18 %")
    assert phone.fits()
    # what cannot be answers 422, which a browser counts among its troubles
    assert [one for one in phone.troubles if "422" not in one] == []


def test_without_scripts_the_same_forms_save_refuse_and_print(bay: RunningShop, signed_in: SignIn) -> None:
    tech = signed_in("tech")
    sent = {"check": "voltage_drop", "result": "number", "at": "value-voltage_drop", "number": "420"}
    refused = tech.send("/concerns/1", "/concerns/1/findings", sent, expect=422)
    assert "420 V cannot be" in refused.text
    empty = tech.send("/concerns/1", "/concerns/1/findings", sent | {"number": ""}, expect=422)
    assert "Type the value that was measured, then save it." in empty.text
    tech.send("/concerns/1", "/concerns/1/findings", sent | {"number": "0.42"})
    assert "TOO HIGH, 0.42 V (limit: over 0.2 V)" in tech.see("/concerns/1/print").text
