"""Who programs it: a worked example, every way tried one by one, and what is said of the others."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.advice.advise import advise
from kb.advice.chances.learn import learn
from kb.advice.ways import offers_for, ways_of
from kb.advice.ways_said import ways_sentence
from kb.nouns.advice import Advice, AdviceSettings, CandidateInHand, CostSettings
from kb.nouns.shop.sign_offs import SignedOff, WorkKind
from kb.nouns.shop.ways import AWAY, Way, WayOffer, WaysInHand
from tests.kb.advice.makers import TODAY, candidate, in_hand

ASKED = date(2026, 10, 12)
SETTINGS = AdviceSettings()
SHOP = CostSettings(subscription_fee=24.0)
"""An hour at $150, relearns of $30 below, 3 in 100 recovered in an hour, 5 in 1,000 lost at $900, a fee."""


def offer(way: Way = Way.MOBILE, price: float = 145.0, days: int = 2, **more: bool) -> WayOffer:
    return WayOffer(way, price, days, ASKED, **more)


def asked(*offers: WayOffer, **more: object) -> CandidateInHand:
    ways = WaysInHand("Tarn", offers, **more)  # type: ignore[arg-type]
    return candidate(other_cost=30.0, ways=ways)


def nobody(*alone: str) -> SignedOff:
    return SignedOff("Tarn", (WorkKind.UPDATE,), TODAY, recorded=True, alone=alone)


def advised(*candidates: CandidateInHand, shop: CostSettings = SHOP, free: str = "") -> Advice:
    return advise(in_hand(candidates, costs=shop, free_because=free), learn((), (), SETTINGS), SETTINGS)


def test_the_worked_example_of_a_shop_without_a_subscription() -> None:
    """By hand: 150 + 30 + .03 x 150 + .005 x 900 = 189 of work here, and a fee of 24: 213 against 145.

    One day away at $40 makes it 185 in one day, and 225 in two: then here is the cheaper.
    """
    sent, here = ways_of(asked(offer()), SHOP)
    assert (sent.way, sent.total, sent.customer, sent.shop) == (Way.MOBILE, 145.0, 145.0, 0.0)
    assert (here.way, here.price, here.total) == (Way.HERE, pytest.approx(189.0), pytest.approx(213.0))
    assert ways_sentence((sent, here), "$") == "Sent out $145 and 2 days; here $213: no subscription running."
    said = advised(asked(offer()))
    [lead] = said.candidates
    assert lead.ways_sentence == "Sent out $145 and 2 days; here $213: no subscription running."
    assert said.costs is not None
    assert [(one.label, one.total) for one in said.costs.parts[:2]] == [
        ("PB-1, sent out", 145.0),
        ("Programming subscription", 0.0),
    ]
    [step] = [one for one in said.steps if one.do == "reflash"]
    assert (step.text, step.way, step.cost) == ("Reflash PB-1, sent out", Way.MOBILE, 145.0)
    a_day = replace(SHOP, vehicle_day=40.0)
    assert [one.total for one in ways_of(asked(offer(days=1)), a_day)] == [185.0, pytest.approx(213.0)]
    assert ways_of(asked(offer(days=1)), a_day)[0].shop == 40.0
    assert ways_of(asked(offer()), a_day)[0].way is Way.HERE
    assert ways_sentence(ways_of(asked(offer(days=0)), SHOP), "$").startswith(
        "Sent out $145, the same day; here"
    )


def test_nothing_changes_where_no_price_of_another_way_is_kept() -> None:
    plain, none = candidate(other_cost=30.0), asked()
    assert ways_of(none, SHOP) == ways_of(plain, SHOP) == ()
    assert advised(none) == advised(plain)


def test_what_forbids_a_way_is_said_and_what_nobody_entered_forbids_nothing() -> None:
    dear = offer(Way.DEALER_PAID, 900.0, 3)
    for more, why in (
        ({"listed": False}, "no device here is listed for Tarn"),
        ({"signed_off": nobody()}, "nobody here is signed off for Tarn"),
    ):
        ways = ways_of(asked(dear, **more), SHOP)
        assert [one.way for one in ways] == [Way.DEALER_PAID, Way.HERE]
        assert ways_sentence(ways, "$") == f"Dealer $900 and 3 days; not here: {why}."
    for free in ({}, {"listed": True}, {"signed_off": nobody("mo")}):
        assert ways_of(asked(dear, **free), SHOP)[0].way is Way.HERE


def test_free_at_the_dealer_is_open_only_with_coverage_on_record() -> None:
    free = offer(Way.DEALER_FREE, 0.0, 1)
    closed, covered = (
        ways_of(asked(free), SHOP),
        ways_of(asked(free), SHOP, "coverage may apply"),
    )
    assert [one.way for one in closed] == [Way.HERE, Way.DEALER_FREE]
    assert closed[1].why_not == "no open recall or coverage is on record"
    assert ways_sentence(covered, "$").startswith("Dealer, free $0 and 1 day: coverage may apply; here $213")
    only = ways_of(asked(free, listed=False), SHOP)
    assert only[0].way is Way.HERE
    assert ways_sentence(only, "$").startswith("No way is open as things stand. Not here: no device")


def test_a_price_for_the_module_goes_before_one_for_any_and_an_old_one_is_said() -> None:
    any_module, own, dealer = offer(price=90.0), offer(price=145.0), offer(Way.DEALER_PAID, 180.0)
    offers = [("ecm", own), ("", any_module), ("tcm", offer(price=1.0)), ("", dealer)]
    assert offers_for(offers, "ecm") == (own, dealer)
    assert offers_for(offers, "bcm") == (any_module, dealer)
    old = ways_sentence(ways_of(asked(offer(is_old=True)), SHOP), "$")
    assert old.startswith("Sent out $145 and 2 days (asked Oct 12, 2026, ask again); here")


MONEY = st.floats(0, 900).map(lambda one: round(one, 2))

FREE = st.sampled_from(("", "coverage may apply"))


@st.composite
def candidates_with_ways(draw: st.DrawFn, note: int = 1) -> CandidateInHand:
    chosen = draw(st.lists(st.sampled_from(AWAY), unique=True, min_size=1))
    offers = tuple(offer(way, draw(MONEY), draw(st.integers(0, 5))) for way in chosen)
    ways = WaysInHand("Tarn", offers, draw(st.sampled_from((None, True, False))), None, draw(MONEY))
    return candidate(note, other_cost=draw(MONEY), ways=ways)


def slowly(one: CandidateInHand, shop: CostSettings, free: str) -> dict[Way, float]:
    """What each allowed way costs, written out."""
    assert one.ways is not None
    fee = 0.0 if shop.subscription_active else shop.subscription_fee
    found = {}
    if one.ways.listed is not False:
        found[Way.HERE] = 150.0 + one.other_cost + 0.03 * 150.0 + 0.005 * 900.0 + fee
    for other in one.ways.offers:
        if other.way is not Way.DEALER_FREE or free:
            found[other.way] = other.price + one.ways.part + other.days * shop.vehicle_day
    return found


@settings(max_examples=60)
@given(candidates_with_ways(), MONEY, MONEY, st.booleans(), FREE)
def test_the_cheapest_allowed_way_is_taken_as_every_way_tried_says(
    one: CandidateInHand, fee: float, day: float, running: bool, free: str
) -> None:
    shop = replace(SHOP, subscription_fee=fee, subscription_active=running, vehicle_day=day)
    slow, ways = slowly(one, shop, free), ways_of(one, shop, free)
    assert {w.way: pytest.approx(w.total) for w in ways if w.is_allowed} == slow
    assert all(w.customer + w.shop == pytest.approx(w.total) for w in ways)
    if slow:
        assert ways[0].total == pytest.approx(min(slow.values()))
        assert ways[0].is_allowed
    else:
        assert ways[0].way is Way.HERE


def only(one: CandidateInHand, way: Way) -> CandidateInHand:
    """The same where nothing but that way is open."""
    assert one.ways is not None
    if way is Way.HERE:
        return replace(one, ways=None)
    offers = tuple(some for some in one.ways.offers if some.way is way)
    return replace(one, ways=replace(one.ways, offers=offers, listed=False))


@settings(max_examples=25)
@given(candidates_with_ways(1), candidates_with_ways(2), MONEY, FREE)
def test_the_plan_costs_what_the_best_of_all_combinations_of_ways_does(
    first: CandidateInHand, second: CandidateInHand, day: float, free: str
) -> None:
    """Every allowed way of one update with every one of the other, each planned by itself; no fee is due."""
    shop = replace(SHOP, subscription_active=True, vehicle_day=day)
    both = [slowly(one, shop, free) or {Way.HERE: 0.0} for one in (first, second)]
    planned = advised(first, second, shop=shop, free=free).plan
    tried = [
        advised(only(first, one), only(second, other), shop=shop, free=free).plan
        for one, other in product(*both)
    ]
    assert planned is not None
    assert planned.expected_cost == pytest.approx(min(one.expected_cost for one in tried if one))
