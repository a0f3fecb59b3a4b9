"""Two people co-sign on two phones, and the owner reads the week on one: 390 px, in a real Chromium."""

from __future__ import annotations

from datetime import timedelta

import pytest
from playwright.sync_api import Browser, expect

from kb.desk.bay.programming import programming
from kb.desk.context import RunningShop
from kb.desk.shop import sign_offs
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult
from kb.nouns.shop.sign_offs import SignOffDraft, WorkKind
from tests.factories import MAKE, actor_of
from tests.web.browsing import give_passwords
from tests.web.chromium import screen, served
from tests.web.one_hand import faults, load_axe, unfold

pytestmark = pytest.mark.browser


def test_a_newcomer_is_co_signed_at_prep_and_release_and_the_week_tells_what_ends(
    browser: Browser, bay: RunningShop
) -> None:
    give_passwords(bay)
    tech, lead = actor_of(bay, "tech"), actor_of(bay, "lead")
    with bay.writing(lead) as desk:
        soon = desk.today + timedelta(9)
        sign_offs.sign_off(desk, tech.user_id, SignOffDraft((WorkKind.UPDATE,), newcomer=True))
        sign_offs.sign_off(desk, lead.user_id, SignOffDraft((WorkKind.UPDATE,), (MAKE,), valid_to=soon))
    with served(bay) as url:
        newcomer, other = screen(browser, url), screen(browser, url)
        newcomer.sign_in("tech")
        newcomer.open("/concerns/1/prep")
        line = newcomer.page.locator("#line-co-sign-1-tech")
        expect(line).to_contain_text("Blocks: Technician is new to updates: one of the first three.")
        expect(line).to_contain_text("Lead technician co-signs it before programming begins.")
        assert line.locator("button:has-text('Co-sign')").count() == 0
        with newcomer.page.expect_navigation():
            newcomer.page.locator("button:has-text('I read and did these')").first.click()

        other.sign_in("lead")
        other.open("/concerns/1/prep")
        with other.page.expect_navigation():
            other.page.click("button:has-text('Co-sign as Lead technician')")
        newcomer.open("/concerns/1/prep")
        expect(line).to_contain_text("· Lead technician, today")
        with bay.writing(tech) as desk:
            done = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(1,))
            programming.record_event(desk, ProgrammingEventDraft((done,), desk.today))
        newcomer.open("/concerns/1/release")
        after = "#line-release-co-sign-tech"
        expect(newcomer.page.locator(after)).to_contain_text("Lead technician co-signs it before it leaves")
        assert newcomer.page.locator(f"{after} button").count() == 0
        other.open("/concerns/1/release")
        load_axe(other.page)
        assert faults(other.page, 390, dark=False) == []
        with other.page.expect_navigation():
            other.page.click(f"{after} button")
        expect(other.page.locator(after)).to_contain_text("Lead technician, today")

        owner = screen(browser, url)
        owner.sign_in("owner")
        for path, said in (
            ("/shop/people", "Lead technician: sign-off for updates of Norvane ends Nov 9, 2026"),
            (f"/shop/people/{lead.user_id}/sign-offs", "no field takes a user name, password or key"),
            ("/review/week", "sign-off for updates of Norvane ends Nov 9, 2026"),
        ):
            owner.open(path)
            expect(owner.page.locator("main")).to_contain_text(said)
            load_axe(owner.page)
            unfold(owner.page)
            assert faults(owner.page, 390, dark=path.endswith("week")) == [], path
        assert newcomer.troubles == other.troubles == owner.troubles == []
