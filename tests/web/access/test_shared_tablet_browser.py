"""A tablet changes hands, and is turned to a customer, in a real Chromium at the width of a phone."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page, expect

from kb.desk.context import RunningShop
from tests.web.access.sharing import PINS, shared_tablet
from tests.web.browsing import Visitor
from tests.web.chromium import Screen, screen, served
from tests.web.one_hand import faults, load_axe

pytestmark = pytest.mark.browser

TYPED = "bucks at 45 on the hill, customer says only warm"


def at_the_tablet(browser: Browser, url: str, tablet: Visitor) -> Screen:
    """The same tablet, in a browser."""
    shown = screen(browser, url)
    kept = [{"name": name, "value": str(value), "url": url} for name, value in tablet.client.cookies.items()]
    shown.page.context.add_cookies(kept)  # type: ignore[arg-type]  # a cookie is what add_cookies takes
    return shown


def script_is_there(page: Page) -> None:
    expect(page.locator("#keys button:not([hidden])")).to_be_attached()


def take_up(page: Page, name: str, who: str, button: str = "Come in") -> None:
    page.get_by_role("link", name=name, exact=True).click()
    page.get_by_label("PIN").fill(PINS[who])
    with page.expect_navigation():
        page.get_by_role("button", name=button).first.click()


def test_what_one_typed_waits_for_them_and_is_not_shown_to_the_next(
    browser: Browser, bay: RunningShop
) -> None:
    tablet = shared_tablet(bay, "tech", "lead")
    with served(bay) as url:
        shown = at_the_tablet(browser, url, tablet)
        page = shown.page
        shown.open("/concerns/new")
        expect(page.get_by_role("heading", name="Who is here?")).to_be_visible()
        load_axe(page)
        assert faults(page, 390, dark=False) == []
        take_up(page, "Technician", "tech")
        expect(page).to_have_url(f"{url}/concerns/new")
        complaint = page.locator("textarea[name=complaint]")
        script_is_there(page)
        complaint.fill(TYPED)
        page.get_by_role("button", name="Switch person").click()
        take_up(page, "Lead technician", "lead", "Come in here")
        expect(page).to_have_url(f"{url}/concerns/new")
        expect(page.get_by_role("link", name="Lead technician")).to_be_visible()
        script_is_there(page)
        expect(complaint).to_have_value("")
        assert TYPED not in page.content()
        page.go_back()
        page.go_back()
        assert TYPED not in page.content()
        shown.open("/notes")
        script_is_there(page)
        page.get_by_role("button", name="Switch person").click()
        take_up(page, "Technician", "tech", "Go on where you were")
        expect(page).to_have_url(f"{url}/concerns/new")
        expect(complaint).to_have_value(TYPED)
        assert shown.troubles == []


def test_a_customer_who_holds_the_tablet_comes_to_no_page_of_the_shop(
    browser: Browser, bay: RunningShop
) -> None:
    tablet = shared_tablet(bay, "tech")
    with served(bay) as url:
        shown = at_the_tablet(browser, url, tablet)
        page = shown.page
        shown.open("/concerns/1/authorization")
        page.get_by_label("PIN").fill(PINS["tech"])  # one person has a PIN: no tiles
        page.keyboard.press("Enter")
        expect(page).to_have_url(f"{url}/concerns/1/authorization")
        script_is_there(page)
        page.fill("[name=proposed]", "Update the PCM")
        page.fill("[name=amount]", "180")
        shown.chip("credited")
        page.get_by_role("button", name="Turn the tablet around").click()
        agree = page.get_by_role("button", name="I agree")
        expect(agree).to_be_visible()
        page.go_back()
        pin = page.get_by_label("PIN")
        expect(pin).to_be_visible()
        assert "Update the PCM" not in page.content()
        page.go_forward()
        expect(agree).to_be_visible()
        page.get_by_label("Your name").fill("Ann Berg")
        agree.click()
        expect(page.get_by_role("heading", name="Thank you, Ann Berg.")).to_be_visible()
        for _ in range(3):
            page.go_back()
            assert page.get_by_role("navigation").count() == 0
        shown.open("/concerns/1/thanks")
        page.get_by_role("link", name="For the shop: go on").click()
        load_axe(page)
        assert faults(page, 390, dark=False) == []
        pin.fill(PINS["tech"])
        page.keyboard.press("Enter")
        expect(page).to_have_url(f"{url}/concerns/1")
        page.go_back()
        page.go_back()
        assert agree.count() == 0
