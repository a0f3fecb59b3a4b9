"""What a concern costs, through the desk: settings, overrides, subscriptions, and the customer's limit.

The sums are worked by hand from the starting settings: 150 an hour, 60 min and 30 of relearns a reflash,
.005 x 900 + .03 x 60 min of failed programming, 150 min to diagnose, 40 a subscription.
"""

from __future__ import annotations

from datetime import timedelta

import pytest

from kb.desk import settings
from kb.desk.bay.advice import advice
from kb.desk.bay.concern import concern_costs
from kb.desk.bay.programming import money
from kb.desk.context import RunningShop
from kb.desk.shop import subscriptions
from kb.desk.shop.subscriptions import SubscriptionDraft, SubscriptionKind
from kb.errors import BadInput, Conflict, NotFound
from kb.nouns.advice import Advice, CostLine
from kb.nouns.bay.customer_word import AuthorizationDraft
from tests.factories import MAKE, actor_of
from tests.kb.desk.bay.replayed import kept_and_again
from tests.kb.desk.bay.test_stops_and_order import advised, open_case


def part(said: Advice, label: str) -> CostLine:
    assert said.costs is not None
    return next(one for one in said.costs.parts if one.label.startswith(label))


def override(shop: RunningShop, concern: int, key: str, value: str, why: str = "dearer here") -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern_costs.override_cost(desk, concern, key, value, why)


def test_an_override_changes_this_concern_alone_and_keeps_reason_author_and_day(shop: RunningShop) -> None:
    concern, other = open_case(shop), open_case(shop)
    assert part(advised(shop, concern), "Diagnosis").total == pytest.approx(375)
    override(shop, concern, "diagnosis_minutes", "400", "the dash must come out")
    assert part(advised(shop, concern), "Diagnosis").total == pytest.approx(1000)
    assert part(advised(shop, other), "Diagnosis").total == pytest.approx(375)
    with shop.reading(actor_of(shop, "tech")) as desk:
        listed = {one.definition.key: one for one in concern_costs.list_concern_costs(desk, concern)}
        assert settings.current(desk).diagnosis_minutes == 150
    own = listed["diagnosis_minutes"]
    assert (own.shop_value, own.own_value, own.why, own.by) == (150, 400, "the dash must come out", "tech")
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern_costs.restore_cost(desk, concern, "diagnosis_minutes", version=1)
    assert part(advised(shop, concern), "Diagnosis").total == pytest.approx(375)


def test_each_cost_of_a_reflash_can_differ(shop: RunningShop) -> None:
    concern = open_case(shop)
    assert part(advised(shop, concern), "Reflash NV").total == pytest.approx(150 + 30 + 4.5 + 4.5)
    override(shop, concern, "reflash_minutes", "90")
    override(shop, concern, "relearn_cost_minor", "12.50")
    override(shop, concern, "module_price_minor", "2,000")
    line = part(advised(shop, concern), "Reflash NV")
    assert line.total == pytest.approx(225 + 12.5 + 10 + 4.5)
    assert (line.customer, line.shop) == pytest.approx((237.5, 14.5))


def test_the_price_of_a_module_by_name_goes_before_that_of_any_module(shop: RunningShop) -> None:
    concern = open_case(shop)
    with shop.writing(actor_of(shop, "lead")) as desk:
        settings.change_setting(desk, "module_prices_minor", "PCM = 1500", "our last invoice")
    assert part(advised(shop, concern), "Reflash NV").shop == pytest.approx(7.5 + 4.5)
    override(shop, concern, "module_price_minor", "400")
    assert part(advised(shop, concern), "Reflash NV").shop == pytest.approx(2 + 4.5)


def test_who_pays_can_differ_and_customer_and_shop_add_up_to_the_total(shop: RunningShop) -> None:
    concern = open_case(shop)
    before = advised(shop, concern).costs
    override(shop, concern, "customer_diagnosis", "0", "goodwill")
    after = advised(shop, concern).costs
    assert before is not None
    assert after is not None
    assert after.diagnose_first.total == pytest.approx(before.diagnose_first.total)
    assert before.diagnose_first.customer - after.diagnose_first.customer == pytest.approx(375)
    for line in (after.plan, after.reflash_now, after.diagnose_first, *after.parts):
        assert line.customer + line.shop == pytest.approx(line.total), line.label


def test_a_subscription_is_paid_once_a_plan_by_its_last_price_and_not_while_one_runs(
    shop: RunningShop,
) -> None:
    concern = open_case(shop)
    assert part(advised(shop, concern), "Programming subscription").total == pytest.approx(40)
    with shop.writing(actor_of(shop, "lead")) as desk:
        bought = desk.today - timedelta(days=40)
        draft = SubscriptionDraft(
            MAKE, SubscriptionKind.PROGRAMMING, 55_00, bought, bought + timedelta(days=3)
        )
        subscriptions.add_subscription(desk, draft)
    ended = advised(shop, concern)
    assert part(ended, "Programming subscription").total == pytest.approx(55)
    assert ended.costs is not None
    override(shop, concern, "subscription_fee_minor", "20")
    assert part(advised(shop, concern), "Programming subscription").total == pytest.approx(20)
    with shop.writing(actor_of(shop, "lead")) as desk:
        draft = SubscriptionDraft(MAKE, SubscriptionKind.PROGRAMMING, 55_00, desk.today, desk.today)
        subscriptions.add_subscription(desk, draft)
    assert part(advised(shop, concern), "Programming subscription").total == 0


def test_the_plan_stops_for_an_ok_where_it_would_pass_what_was_authorized(shop: RunningShop) -> None:
    concern = open_case(shop)
    assert not any(step.needs_ok for step in advised(shop, concern).steps)
    with shop.writing(actor_of(shop, "tech")) as desk:
        money.authorize(desk, concern, AuthorizationDraft(100_00, "Mr. Tovar", "", "credited"))
        money.record_payment(desk, concern, "billed", 40_00, "customer")
    used = 40.0
    steps = advised(shop, concern).steps
    for step in steps:  # nothing but reflashes has a share that the shop bears
        used += step.cost - (9.0 if step.do == "reflash" else 0.0)
        assert step.needs_ok == (used > 100), step.text
    assert any(step.needs_ok for step in steps)
    with shop.writing(actor_of(shop, "tech")) as desk:
        money.authorize(desk, concern, AuthorizationDraft(5_000_00, "Mr. Tovar", "", "credited"))
    assert not any(step.needs_ok for step in advised(shop, concern).steps)


def test_what_cannot_be_is_refused_and_says_why(shop: RunningShop) -> None:
    concern = open_case(shop)
    with shop.writing(actor_of(shop, "tech")) as desk:
        with pytest.raises(BadInput, match="why this concern differs"):
            concern_costs.override_cost(desk, concern, "diagnosis_minutes", 200, " ")
        with pytest.raises(BadInput, match="from 0 to 1"):
            concern_costs.override_cost(desk, concern, "customer_check", 2, "x")
        with pytest.raises(NotFound):
            concern_costs.override_cost(desk, concern, "window_days", 10, "x")
        concern_costs.override_cost(desk, concern, "diagnosis_minutes", 200, "x")
        with pytest.raises(Conflict) as stale:
            concern_costs.override_cost(desk, concern, "diagnosis_minutes", 300, "y", version=0)
    assert stale.value.details["theirs"] == 200


def test_a_decision_keeps_the_costs_of_its_day(shop: RunningShop) -> None:
    concern = open_case(shop)
    override(shop, concern, "diagnosis_minutes", "400")
    with shop.writing(actor_of(shop, "tech")) as desk:
        taken = advice.decide(desk, concern, "nothing", "asked to wait")
    override(shop, concern, "diagnosis_minutes", "100")
    with shop.reading(actor_of(shop, "tech")) as desk:
        kept, again = kept_and_again(desk, taken)
    assert kept == again
    assert part(again, "Diagnosis").total == pytest.approx(1000)
