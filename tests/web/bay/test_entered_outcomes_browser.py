"""Outcomes entered on a phone of 390 px: the road test, a vehicle that is here again, a morning's calls."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from kb.desk.bay.concern import concerns
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.programming import programming
from kb.desk.calls import call_list
from kb.desk.context import RunningShop
from kb.nouns.concerns import FollowUpResult, ModuleResult, ProgrammingEventDraft, ReflashResult
from tests.conftest import StandingClock
from tests.factories import a_concern, a_vehicle, actor_of
from tests.web.browsing import give_passwords
from tests.web.chromium import Screen, screen, served

pytestmark = pytest.mark.browser
VIN = "XV1FB3A28K8210341"


@pytest.fixture
def address(bay: RunningShop) -> Iterator[str]:
    """Concern 2 was just programmed with note 1."""
    with bay.writing(actor_of(bay, "tech")) as desk:
        opened = concerns.open_concern(desk, a_concern(ro_number="30", vehicle=a_vehicle(vin=VIN)))
        module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(opened.id,))
        programming.record_event(desk, ProgrammingEventDraft((module,), desk.today))
    give_passwords(bay)
    with served(bay) as url:
        yield url


def heard(shop: RunningShop) -> list[FollowUpResult]:
    with shop.reading(actor_of(shop, "tech")) as desk:
        return [one.said.result for one in read_concern(desk, 2).follow_ups]


def big_buttons(page: Page, texts: list[str]) -> None:
    """Side by side, each large enough for a glove, in sight without scrolling far."""
    for text in texts:
        box = page.locator(f".pick button.do:has-text('{text}')").bounding_box()
        assert box is not None
        assert (box["height"] >= 60, box["width"] >= 120) == (True, True)


def sound(bay: Screen) -> None:
    assert bay.fits()
    assert bay.troubles == []


def test_each_way_is_one_tap_on_a_phone(
    browser: Browser, address: str, bay: RunningShop, clock: StandingClock
) -> None:
    phone = screen(browser, address)
    page = phone.page
    phone.sign_in("tech")

    phone.open("/concerns/2/release")
    big_buttons(page, ["Gone", "Still there"])
    sound(phone)
    page.click("button:has-text('Gone')")
    expect(page.locator("#road-test")).to_have_text("Road test: gone")

    # Here again with the complaint in other words: the old one? Put right, then taken back.
    clock.move(days=40)
    phone.sign_in("tech")
    phone.open("/concerns/new")
    page.fill("#vin", VIN)
    page.fill("#ro_number", "31")
    page.fill("#complaint", "still bucking goin uphill")
    page.click("button:has-text('Open concern') >> nth=0")
    page.wait_for_url("**/concerns/3")
    expect(page.locator("#earlier-2")).to_have_text("Is this the old concern back?")
    big_buttons(page, ["Yes, it is back", "No, something new"])
    sound(phone)
    page.dblclick("button:has-text('Yes, it is back')")
    expect(page.locator(".notice", has_text="same concern came back")).to_be_visible()
    assert heard(bay) == [FollowUpResult.CAME_BACK]
    page.click("main a:has-text('change')")
    page.click("button:has-text('Take it back')")
    page.wait_for_url("**/concerns/3")
    page.click("button:has-text('No, something new')")
    expect(page.locator(".said")).to_contain_text("something new")
    page.click("button:has-text('Still fixed')")
    expect(page.locator(".said")).to_contain_text("Counted; NV-24-101 still")
    expect(page.locator(".notice", has_text="still fine")).to_be_visible()
    assert heard(bay) == [FollowUpResult.NEW_COMPLAINT, FollowUpResult.FINE]

    # A promised call stands on the start page.
    clock.move(days=20)
    with bay.writing(actor_of(bay, "tech")) as desk:
        call_list.promise_call(desk, 2, desk.today)
    phone.sign_in("tech")
    expect(page.locator("#calls")).to_have_text("1 call this morning")
    sound(phone)
    page.click("button:has-text('came back')")
    expect(page.locator("h1")).to_have_text("Since when?")
    page.click("a:has-text('Nobody knows')")
    page.wait_for_url("**/concerns")
    expect(page.locator("#calls")).to_have_text("1 call made today")
    sound(phone)
