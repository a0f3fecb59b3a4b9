"""The month's page: for the lead and the owner, on two widths and on one Letter sheet."""

from __future__ import annotations

import io
import re

import pypdfium2
import pytest
from playwright.sync_api import Browser
from starlette.testclient import TestClient

from kb.desk.bay.concern import concerns
from kb.desk.bay.programming import money, programming
from kb.desk.context import RunningShop
from kb.desk.shop import equipment, plan_offers, upkeep, way_prices
from kb.desk.shop.equipment import EquipmentDraft, EquipmentKind
from kb.desk.shop.plan_offers import PlanOfferDraft
from kb.desk.shop.upkeep import VersionDraft
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult
from kb.nouns.shop.ways import Way, WayPriceDraft
from tests.conftest import StandingClock
from tests.factories import a_concern, a_vehicle, actor_of, headers_of
from tests.web.browsing import Visitor, give_passwords
from tests.web.chromium import Screen, screen, served
from tests.web.conftest import SignIn


def test_page_file_and_interface_say_the_same(
    reflashed: RunningShop, sqlite_client: TestClient, signed_in: SignIn, clock: StandingClock
) -> None:
    """Three reflashes on one day, 120 days ago: one cured, one back, one not heard of."""
    clock.move(days=-120)
    month = f"{clock().date():%Y-%m}"
    clock.move(days=120)
    owner = signed_in("owner")
    page = owner.see(f"/review/month?month={month}")
    assert "1 cured, 1 not (1 comeback), 1 waiting" in page.text
    assert f"/review/month.csv?month={month}" in page.links
    owner.see(f"/review/month.csv?month={month}")
    assert owner.answer is not None
    assert [line.split(",")[0] for line in owner.answer.text.split("\r\n")[1:-1]] == [
        *["sitting"] * 3,
        *["module"] * 3,
        *["reflash"] * 3,
    ]
    headers = headers_of(reflashed, "lead")
    told = sqlite_client.get(f"/api/reports/month?month={month}-10", headers=headers).json()
    assert (told["total"]["done"], told["total"]["cured"], told["total"]["comebacks"]) == (3, 1, 1)
    page = owner.see("/review/here-or-sent-out")
    assert "Cannot tell yet: 3 vehicles counted" in page.text
    told = sqlite_client.get("/api/reports/here-or-sent-out", headers=headers).json()
    assert [(one["make"], one["vehicles"], one["cannot_tell"]) for one in told["makes"]] == [
        ("Norvane", 3, True)
    ]
    assert "reads like 2026-10" in owner.see("/review/month?month=October", expect=422).text
    for month in ("2190-01", "1885-01"):
        wrong = owner.see(f"/review/month?month={month}", expect=422).text
        assert "Choose a month from 1990 on that has begun" in wrong
    signed_in("tech").see("/review/month", expect=403)


def test_two_pages_give_one_verdict(reflashed: RunningShop, signed_in: SignIn, clock: StandingClock) -> None:
    """Norvane at $1 by a mobile programmer, and a year of access for $1,250: nobody would do it here."""
    with reflashed.writing(actor_of(reflashed, "owner")) as desk:
        for number in range(4):
            said = a_concern(ro_number=f"7{number}", vehicle=a_vehicle(make="Norvane"))
            concern = concerns.open_concern(desk, said).id
            done = ModuleResult("ECM", ReflashResult.COMPLETED, concern_ids=(concern,))
            programming.record_event(desk, ProgrammingEventDraft((done,), desk.today, 60))
        way_prices.put_way_price(desk, WayPriceDraft("Norvane", Way.MOBILE, 100, 0, desk.today))
        plan_offers.add_plan_offer(desk, PlanOfferDraft("norvane", 365, 125_000, "a year"))
    owner = signed_in("owner")
    pages = [owner.see(f"/review/{one}").text for one in ("here-or-sent-out", "subscriptions")]
    told = re.search(
        r"Norvane: (send it out, about \$[0-9,]+ a year less than [a-z ]+ \(\$[0-9,]+\); [^.]*\.)", pages[0]
    )
    assert told is not None
    assert f"Here or sent out says: {told[1]}" in pages[1]
    assert "Assumed the same both ways: still there at the road test in" in pages[0]


@pytest.mark.browser
def test_a_month_fits_the_screen_and_one_sheet_of_letter_paper(
    browser: Browser, reflashed: RunningShop, clock: StandingClock
) -> None:
    """A month of twelve makes and twelve pieces of equipment, of which some are added up in a last line."""
    clock.move(days=-120)
    with reflashed.writing(actor_of(reflashed, "lead")) as desk:
        month = f"{desk.today:%Y-%m}"
        for number in range(12):
            draft = EquipmentDraft(EquipmentKind.PASS_THRU_DEVICE, f"Pass-thru {number}, blue case")
            piece = equipment.add_equipment(desk, draft).id
            upkeep.add_version(desk, piece, VersionDraft(f"4.{number}", "7.0", desk.today))
            said = a_concern(ro_number=f"9{number}", vehicle=a_vehicle(make=f"Make{number}"))
            concern = concerns.open_concern(desk, said).id
            results = [ReflashResult.RECOVERED, ReflashResult.NOTHING_NEWER, ReflashResult.COMPLETED]
            modules = [ModuleResult(f"M{n}", one, concern_ids=(concern,)) for n, one in enumerate(results)]
            event = ProgrammingEventDraft(tuple(modules), desk.today, 130, device_id=piece)
            programming.record_event(desk, event)
            for kind in ("billed", "credited", "cost"):
                money.record_payment(desk, concern, kind, 12_345_67, "shop" if kind == "cost" else "customer")
    clock.move(days=120)
    give_passwords(reflashed)
    owner = Visitor(reflashed).sign_in("owner")
    with served(reflashed) as url:
        for width in (1280, 390):
            on = screen(browser, url, width)
            on.come_in_as(owner.client)
            on.open(f"/review/month?month={month}")
            on.page.get_by_role("heading", name="By make and way").wait_for()
            assert on.fits()
            assert on.page.locator("#beside").evaluate("one => one.open") is (width > 390)
            assert on.troubles == []
        assert sheets(on) == 1
        on.open("/review")
        assert sheets(on) <= 3


def sheets(on: Screen) -> int:
    """Of Letter paper."""
    paper = pypdfium2.PdfDocument(io.BytesIO(on.page.pdf(format="Letter")))
    count = len(paper)
    paper.close()
    return count
