"""Sent out in a real Chromium: from the price that the owner asked to the owner's review, by who did it."""

from __future__ import annotations

import re
from dataclasses import dataclass

import pytest
from playwright.sync_api import Browser, expect

from kb.desk.context import RunningShop
from kb.desk.shop import way_prices
from kb.nouns.shop.ways import Way, WayPriceDraft
from tests.conftest import StandingClock
from tests.factories import actor_of
from tests.web.chromium import Screen, phone_in_the_bay, screen

pytestmark = pytest.mark.browser


@dataclass(frozen=True)
class Sent:
    """One way: its price, how advice and review say it, and who pays the invoice."""

    way: str
    kept_as: Way
    price: str
    advised: str
    in_review: str
    paid_by: str = ""
    recall: str = ""


MOBILE = Sent("a mobile programmer", Way.MOBILE, "95", "Sent out $95 and 2 days", "sent out")
PAID = Sent("the dealer, paid", Way.DEALER_PAID, "120", "Dealer $120 and 2 days", "dealer")
FREE = Sent(
    "the dealer, free",
    Way.DEALER_FREE,
    "0",
    "Dealer, free $0 and 2 days: recall 24V117 is open",
    "dealer, free",
    "manufacturer",
    "24V-117",
)


def _price_on_the_page(owner: Screen, sent: Sent) -> None:
    owner.open("/shop")
    owner.page.click("text=Who programs it")
    expect(owner.page.locator("#keys button")).to_be_attached()
    for field, said in (
        ("make", "Norvane"),
        ("price", sent.price),
        ("days", "2"),
        ("asked_of", "north side"),
    ):
        owner.page.fill(f"#{field}", said)
    owner.page.click("text=Save the price")
    expect(owner.page.locator(".said")).to_contain_text("The advice counts with it.")
    expect(owner.page.locator("#prices ~ ul li")).to_contain_text("a mobile programmer $95 and 2 days")


def _price_on_file(shop: RunningShop, sent: Sent) -> None:
    with shop.writing(actor_of(shop, "owner")) as desk:
        price = WayPriceDraft("Norvane", sent.kept_as, int(sent.price) * 100, 2, desk.today)
        way_prices.put_way_price(desk, price)


@pytest.mark.parametrize("sent", [MOBILE, PAID, FREE], ids=lambda one: one.in_review)
def test_a_concern_is_sent_out_asked_for_and_counted_under_who_did_it(
    browser: Browser, bay: RunningShop, clock: StandingClock, sent: Sent
) -> None:
    with phone_in_the_bay(browser, bay) as phone:
        owner = screen(browser, phone.url, 1280)
        owner.sign_in("owner")
        if sent is MOBILE:
            _price_on_the_page(owner, sent)
        else:
            _price_on_file(bay, sent)

        page = phone.page
        phone.open("/concerns/1")
        expect(page.locator("#keys button")).to_be_attached()
        if sent.recall:
            page.click("#more-recalls summary")
            page.fill("#recall-number", sent.recall)
            page.click("button:has-text('It is open')")
            expect(page.locator("#recalls")).to_contain_text("touches this concern")
            expect(page.locator("#keys button")).to_be_attached()
        page.click("summary:has-text('Do something else')")
        page.click("text=Send it out to be programmed")
        expect(page.locator("main .notice")).to_contain_text(f"{sent.advised}; here $")
        expect(page.locator("#keys button")).to_be_attached()
        phone.chip(sent.way)
        page.fill("#sent_to", "North side")
        if page.locator("#why_not").count():
            page.fill("#why_not", "no time this week")
        page.click("button:has-text('It is out')")
        expect(page.locator("#waits")).to_contain_text("Waits for its result: North side, due")
        assert phone.fits()

        clock.move(days=2)
        phone.open("/concerns")
        due = page.locator(".notice", has_text="Sent out, result due")
        expect(due).to_contain_text("RO 2087-A")
        due.locator("a").click()
        expect(page.locator("h1")).to_have_text("What came back?")
        expect(page.locator("#keys button")).to_be_attached()
        page.fill("#what_was_done", "PCM programmed, idle relearned")
        page.fill("#after_1", "NV10B")
        for words in ("completed", "from a photo", "duplicated"):
            phone.chip(words)
        page.fill("#invoice", sent.price)
        if sent.paid_by:
            phone.chip(sent.paid_by)
        assert phone.fits()
        page.click("main button:has-text('Write it down')")
        page.wait_for_url("**/release")
        expect(page.locator(".said")).to_contain_text("Still to be asked for: the invoice.")
        phone.open("/concerns/1")
        page.click("button:has-text('Gone')")
        page.wait_for_url("**/release")
        phone.open("/concerns/1")
        expect(page.locator("#history ~ *").first).to_be_attached()
        assert f"{sent.in_review} · before: duplicated · after: gone" in page.content().replace(
            "&middot;", "·"
        )
        phone.open("/concerns/1/close")
        phone.chip("cured by the reflash")
        page.click("button:has-text('Close it')")
        expect(page.locator("#verdict")).to_contain_text("waiting, day 0 of 90")

        owner.open("/review")
        row = owner.page.locator(
            "section[aria-labelledby=ways] tr", has_text=re.compile(rf"^\s*{sent.in_review}\s")
        )
        expect(row).to_contain_text("1 waiting")
        row.locator("a").click()
        expect(owner.page.locator(".ref").first).to_contain_text(f"of {sent.in_review}")
        assert phone.troubles == owner.troubles == []
