"""Subscriptions and plans on offer in a browser: entered, corrected, removed, and found again."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import Any

import pytest
from playwright.sync_api import Browser

from kb.desk.bay.programming import programming
from kb.desk.context import RunningShop
from kb.desk.shop import subscriptions
from kb.desk.shop.subscriptions import SubscriptionDraft, SubscriptionKind
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult
from tests.conftest import StandingClock
from tests.factories import actor_of
from tests.web.browsing import Page
from tests.web.chromium import screen, served
from tests.web.conftest import SignIn

PAGE, OFFERS = "/shop/subscriptions", "/shop/plan-offers"
DAY = date(2026, 10, 31)
TYPED = {"make": "Norvane", "price": "45", "bought_on": "2026-10-31", "ends_on": "2026-11-06", "plan": "week"}
OFFER = {"offer_make": "Norvane", "offer_days": "365", "offer_price": "900", "offer_plan": "year"}


def bought(shop: RunningShop, **said: Any) -> int:
    usual = {"make": "Norvane", "kind": SubscriptionKind.PROGRAMMING, "price_minor": 4_500}
    draft = SubscriptionDraft(**{**usual, "bought_on": DAY, "ends_on": DAY} | said)
    with shop.writing(actor_of(shop, "tech")) as desk:
        return subscriptions.add_subscription(desk, draft).id


def on_file(shop: RunningShop) -> list[tuple[str, int]]:
    with shop.reading(actor_of(shop, "tech")) as desk:
        return [(one.content.make, one.content.price_minor) for one in subscriptions.list_subscriptions(desk)]


def said(page: Page) -> str:
    return " ".join(page.text.split())


def test_an_empty_price_is_no_zero_and_a_typed_zero_is_a_price(bay: RunningShop, signed_in: SignIn) -> None:
    """A form sent past the browser's own `required` (an old browser, a script, a program)."""
    lead = signed_in("lead")
    page = lead.send(PAGE, PAGE, TYPED | {"price": " "}, expect=422)
    assert "Please fill in the price." in page.text
    assert [one["value"] for one in page.all("input") if one.get("name") == "plan"] == ["week"]
    assert on_file(bay) == []
    lead.send(PAGE, PAGE, TYPED | {"price": "0"})
    assert on_file(bay) == [("Norvane", 0)]


def test_one_that_was_just_bought_is_entered_from_the_prep_list_that_asks_for_it(
    bay: RunningShop, signed_in: SignIn
) -> None:
    tech, prep = signed_in("tech"), "/concerns/1/prep"
    [link] = [one for one in tech.see(prep).links if one.startswith(PAGE)]
    typed = {name: text for name, text in TYPED.items() if name != "make"}  # it stands in the form
    refused = tech.send(link, PAGE, typed | {"price": ""}, expect=422)
    assert refused.form(PAGE).fields["for_concern"] == ["1"]
    back = tech.send(link, PAGE, typed)
    assert "Prep for programming" in back.text
    assert "Programming subscription runs until Nov 6, 2026" in back.text
    assert on_file(bay) == [("Norvane", 4_500)]


@pytest.mark.parametrize(
    ("left_out", "sentence"),
    [
        ("offer_price", "Please fill in the price of the plan."),
        ("offer_days", "Please fill in the number of days that the plan covers."),
    ],
)
def test_an_empty_field_of_a_plan_is_asked_for_by_name(
    bay: RunningShop, signed_in: SignIn, left_out: str, sentence: str
) -> None:
    lead = signed_in("lead")
    page = lead.send(PAGE, OFFERS, OFFER | {left_out: ""}, expect=422)
    assert sentence in page.text
    assert "None entered." in lead.see(PAGE).text
    lead.send(PAGE, OFFERS, OFFER | {"offer_price": "0"})
    assert "$0" in lead.see(PAGE).text


def test_what_is_wrong_with_a_plan_is_said_at_the_plan_and_leaves_the_other_form_alone(
    bay: RunningShop, signed_in: SignIn
) -> None:
    page = signed_in("lead").send(PAGE, OFFERS, OFFER | {"offer_days": "0"}, expect=422)
    faulty = [one["name"] for one in page.all("input") if one.get("aria-invalid") == "true"]
    assert faulty == ["offer_days"]
    form = page.form(PAGE)
    assert (form.fields["make"], form.fields["bought_on"]) == ([""], ["2026-10-31"])
    assert page.form(OFFERS).fields["offer_price"] == ["900"]


def test_a_plan_says_what_it_replaced_and_asks_about_an_unknown_make(
    bay: RunningShop, signed_in: SignIn, clock: StandingClock
) -> None:
    lead = signed_in("lead")
    first = said(lead.send(PAGE, OFFERS, OFFER))
    assert "Norvane, 365 days for $900: saved" in first
    assert "replaces" not in first
    assert "check the spelling" not in first
    clock.move(days=3)
    second = said(lead.send(PAGE, OFFERS, OFFER | {"offer_price": "1,050", "offer_make": "NOR-VANE"}))
    assert "replaces the plan of $900 looked up Oct 31" in second
    strange = said(lead.send(PAGE, OFFERS, OFFER | {"offer_make": "Norwane"}))
    assert "Norwane is no make on file here; did you mean Norvane?" in strange
    assert "replaces" not in strange


def test_a_mistyped_subscription_is_corrected_and_the_sentence_repeats_it(
    bay: RunningShop, signed_in: SignIn
) -> None:
    one = bought(bay, price_minor=450_050, remark="two seats")
    owner = signed_in("owner")
    address = f"{PAGE}/{one}"
    assert address in owner.see(PAGE).links
    form = owner.see(address).form(address)
    assert (form.fields["price"], form.fields["remark"]) == (["4500.50"], ["two seats"])
    page = owner.send(address, address, {"price": "45", "ends_on": "2026-11-06", "kind": "information"})
    assert "Norvane information, $45, Oct 31 to Nov 6: corrected." in said(page)
    assert on_file(bay) == [("Norvane", 4_500)]
    refused = owner.send(address, address, {"price": ""}, expect=422)
    assert "Please fill in the price." in refused.text


def test_a_price_and_a_day_that_may_be_slips_are_saved_with_a_question(
    bay: RunningShop, signed_in: SignIn
) -> None:
    bought(bay, bought_on=DAY - timedelta(9), ends_on=DAY - timedelta(9))
    tech = signed_in("tech")
    page = said(tech.send(PAGE, PAGE, TYPED | {"price": "3,000", "ends_on": "2026-10-31"}))
    assert "$3,000 for 1 day: with plans of Norvane known here the same days cost $45." in page
    page = said(tech.send(PAGE, PAGE, TYPED | {"bought_on": "2027-10-31", "ends_on": "2027-10-31"}))
    assert "Oct 31, 2027 is still to come" in page
    assert "Oct 31, 2027 still to come" in page
    refused = tech.send(PAGE, PAGE, TYPED | {"price": "99999999999"}, expect=422)
    assert "The price is too high: is there a digit too many?" in refused.text
    assert len(on_file(bay)) == 3
    page = said(signed_in("owner").see("/review/subscriptions"))
    assert "Not counted, since the first day is still to come: Norvane, Oct 31, 2027." in page


def test_two_corrections_at_once_show_both_and_saving_again_takes_mine(
    bay: RunningShop, signed_in: SignIn
) -> None:
    one = bought(bay)
    address = f"{PAGE}/{one}"
    lead, owner = signed_in("lead"), signed_in("owner")
    mine = lead.see(address).form(address).fields | {"price": ["48"]}
    owner.send(address, address, {"price": "54"})
    answer = lead.client.post(address, data=mine)
    assert answer.status_code == 409
    page = Page(answer.text)
    assert "$54" in page.text
    assert page.form(address).fields["price"] == ["48"]
    lead.client.post(address, data=page.form(address).fields)
    assert on_file(bay) == [("Norvane", 4_800)]


def test_one_entered_twice_is_removed_and_one_that_was_used_says_why_not(
    bay: RunningShop, signed_in: SignIn
) -> None:
    used = bought(bay)
    with bay.writing(actor_of(bay, "lead")) as desk:
        module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(1,))
        programming.record_event(desk, ProgrammingEventDraft((module,), desk.today, subscription_id=used))
    owner = signed_in("owner")
    twice = said(owner.send(PAGE, PAGE, TYPED | {"ends_on": "2026-10-31"}))
    assert "is it the same?" in twice
    two = f"{PAGE}/{used + 1}"
    held = owner.see(two).form(f"{two}/remove").fields
    assert "Norvane programming, $45, Oct 31: removed." in said(owner.send(two, f"{two}/remove"))
    assert len(on_file(bay)) == 1
    owner.see(two, expect=404)
    assert owner.client.post(f"{two}/remove", data=held).status_code == 404
    page = owner.see(f"{PAGE}/{used}")
    assert "1 programming event names it, the last of Oct 31. Correct what is wrong" in said(page)
    answer = owner.client.post(f"{PAGE}/{used}/remove", data=held)
    assert answer.status_code == 409
    assert "cannot be removed. Correct what is wrong with it instead." in answer.text


def test_technicians_enter_one_and_are_offered_no_correction(bay: RunningShop, signed_in: SignIn) -> None:
    tech = signed_in("tech")
    tech.send(PAGE, PAGE, TYPED)
    assert on_file(bay) == [("Norvane", 4_500)]
    assert f"{PAGE}/1" not in tech.see(PAGE).links
    tech.see(f"{PAGE}/1", expect=403)
    token = tech.see(PAGE).form(PAGE).fields["form_token"]
    for action in (f"{PAGE}/1", f"{PAGE}/1/remove"):
        answer = tech.client.post(action, data=TYPED | {"version": "1", "form_token": token})
        assert answer.status_code == 403
    assert on_file(bay) == [("Norvane", 4_500)]


def test_a_long_list_shows_what_runs_then_the_newest_and_all_when_asked(
    bay: RunningShop, signed_in: SignIn
) -> None:
    """A year bought 300 days ago runs; 40 single days since have ended."""
    year = DAY - timedelta(300)
    bought(bay, bought_on=year, ends_on=year + timedelta(364), plan="year", price_minor=90_000)
    for ago in range(1, 41):
        bought(bay, bought_on=DAY - timedelta(ago), ends_on=DAY - timedelta(ago), price_minor=ago * 100)
    tech = signed_in("tech")
    page = tech.see(PAGE)
    assert re.findall(r"\$([0-9]+)", page.text) == ["900", *map(str, range(1, 25))]
    assert page.text.index("Enter one that was bought") < page.text.index("$900")
    assert "show all 41" in page.text
    everything = tech.see(f"{PAGE}?all=yes")
    assert len(re.findall(r"\$[0-9]+", everything.text)) == 41
    assert "show all" not in everything.text


def test_the_same_again_is_filled_in_from_today_for_as_long(bay: RunningShop, signed_in: SignIn) -> None:
    one = bought(bay, bought_on=DAY - timedelta(90), ends_on=DAY - timedelta(88), plan="3 days", remark="x")
    tech = signed_in("tech")
    assert f"{PAGE}?like={one}#enter" in tech.see(PAGE).links
    form = tech.see(f"{PAGE}?like={one}").form(PAGE)
    names = ("make", "plan", "price", "bought_on", "ends_on", "remark")
    assert [form.fields[name][0] for name in names] == [
        *("Norvane", "3 days", "45"),
        *("2026-10-31", "2026-11-02", ""),
    ]
    tech.see(f"{PAGE}?like=77", expect=404)
    tech.see(f"{PAGE}?like=x", expect=422)


def test_after_a_year_plan_the_review_says_that_nothing_need_be_bought_and_what_the_year_cost(
    bay: RunningShop, signed_in: SignIn, clock: StandingClock
) -> None:
    """Three days at $45 with one programmed, then a year at $30: $165 paid where the year alone would do."""
    for ago in (3, 2, 1):
        bought(bay, bought_on=DAY - timedelta(ago), ends_on=DAY - timedelta(ago), plan="day")
    owner = signed_in("owner")
    with bay.writing(actor_of(bay, "lead")) as desk:
        module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(1,))
        programming.record_event(desk, ProgrammingEventDraft((module,), desk.today))
    unpaid = said(owner.see("/review/subscriptions"))
    assert "nothing need be bought" not in unpaid
    buy = "Buy “day, 1 day” for $45: cheapest for a year with as many days of programming as the last."
    assert buy in unpaid
    top = "In the last 365 days $135 was paid; the cheapest plans for the same days of programming would have"
    assert f"{top} cost $45." in unpaid
    assert "Of all that was ever bought, $135 went into subscriptions that ended without a" in unpaid
    bought(bay, ends_on=DAY + timedelta(364), plan="year", price_minor=3_000)
    page = said(owner.see("/review/subscriptions"))
    paid = page.index("Paid until Oct 30, 2027: nothing need be bought before.")
    assert paid < page.index("After that buy “year, 365 days” for $30: cheapest for a year with as many")
    assert "would have cost $30. Some of what was paid still runs." in page
    row = "4 $165 $30 of it still runs 1 $30 1 × year, 365 days $135 more $105 more without what still runs"
    assert row in page
    owner.see("/review/tables/subscriptions-next-time.csv")
    assert owner.answer is not None
    assert "30.0,4,165.0,2027-10-30" in owner.answer.text


def test_what_overlaps_is_named_by_make_with_links_and_what_ran_into_the_year_is_said(
    bay: RunningShop, signed_in: SignIn
) -> None:
    """A year from 400 days ago ran out 36 days ago; two of three days at $45 fell into it, one after it."""
    year = DAY - timedelta(400)
    bought(bay, bought_on=year, ends_on=year + timedelta(364), plan="year", price_minor=90_000)
    for ago in (50, 36, 35):
        bought(bay, bought_on=DAY - timedelta(ago), ends_on=DAY - timedelta(ago), plan="day")
    bought(bay, make="Quellen", price_minor=0, plan="trial")
    owner = signed_in("owner")
    page = owner.see("/review/subscriptions")
    text = said(page)
    assert "Paid until Oct 31: nothing need be bought before." in text
    assert "No price of a plan is known, since nothing was paid for it yet." in text
    assert "and $90 into 2 bought while one of the same make still ran: see which." in text
    assert "Norvane: 2 for $90, begun Sep 25 · Sep 11" in text
    assert f"{PAGE}/2" in page.links
    assert f"{PAGE}/3" in page.links
    assert "3 $135 1 more, bought earlier, still ran then; its price is not in this" in text
    heads = re.findall(r"<th[^>]*>([a-z ]+)</th>", page.html)
    assert "reflashes" not in heads
    assert heads.count("modules programmed") == 2


@pytest.mark.browser
def test_both_pages_fit_a_phone_and_a_desk_without_scrolling_sideways(
    bay: RunningShop, signed_in: SignIn, browser: Browser
) -> None:
    lead = signed_in("lead")
    lead.send(PAGE, OFFERS, OFFER | {"offer_plan": "a year of programming for two seats"})
    for ago in range(30):
        bought(
            bay, bought_on=DAY - timedelta(ago), plan="a day of programming for two seats", price_minor=99_900
        )
    with served(bay) as url:
        seen = screen(browser, url)
        seen.come_in_as(lead.client)
        for path in (PAGE, f"{PAGE}?like=1", f"{PAGE}/1", "/review/subscriptions"):
            seen.open(path)
            assert seen.too_wide_at(360, 390, 1280) == [], path
        assert seen.troubles == []
