"""A subscription that may be a slip is saved with a question. The bounds are worked out by hand."""

from __future__ import annotations

from datetime import timedelta

import pytest

from kb.desk.context import RunningShop
from kb.desk.shop import plan_offers, subscription_doubts, subscriptions
from kb.desk.shop.plan_offers import PlanOfferDraft
from kb.desk.shop.subscriptions import SubscriptionKind
from tests.factories import actor_of
from tests.kb.desk.shop.test_subscriptions import DAY, a_subscription


def test_the_same_entered_twice_is_doubted_and_another_length_is_not(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        first = subscriptions.add_subscription(desk, a_subscription())
        assert subscription_doubts.doubts(desk, first) == ()
        longer = subscriptions.add_subscription(desk, a_subscription(ends_on=DAY + timedelta(29)))
        assert subscription_doubts.doubts(desk, longer) == ()
        twin = subscriptions.add_subscription(desk, a_subscription(make="NOR-VANE", price_minor=4_400))
        assert len(subscription_doubts.doubts(desk, twin)) == 1


@pytest.mark.parametrize(
    ("length", "price", "told"),
    [
        (1, 300_000, "$3,000 for 1 day: with plans of Norvane known here the same days cost $45."),
        (1, 9_001, "the same days cost $45."),
        (1, 9_000, ""),  # twice as dear as the last one: prices rise
        (3, 27_001, "for 3 days: with plans of Norvane known here the same days cost $135."),
        (10, 36_001, "the same days cost $180."),  # the month on offer, not ten days
        (365, 468_001, "the same days cost $2,340."),  # thirteen months
        (365, 120_000, ""),
        (1, 2_249, "$22.49 for 1 day: a plan of Norvane for no more days is known here at $45."),
        (1, 2_250, ""),
        (60, 8_999, "a plan of Norvane for no more days is known here at $180."),
        (60, 0, ""),
    ],
)
def test_a_price_far_from_what_the_make_asked_before_is_doubted(
    shop: RunningShop, length: int, price: int, told: str
) -> None:
    """A day was last paid at $45 (once at $900, a slip), 30 days are on offer for $180; another make at $1.

    A free trial of 20 days, one of information and one of a day to come tell nothing of the price.
    """
    with shop.writing(actor_of(shop, "lead")) as desk:
        early, late = DAY - timedelta(20), DAY + timedelta(20)
        for other in (
            a_subscription(price_minor=90_000, bought_on=early, ends_on=early),
            a_subscription(bought_on=early + timedelta(1), ends_on=early + timedelta(1)),
            a_subscription(price_minor=0, bought_on=early, ends_on=early + timedelta(19)),
            a_subscription(kind=SubscriptionKind.INFORMATION, price_minor=1),
            a_subscription(make="Quellen", price_minor=100),
            a_subscription(bought_on=late, ends_on=late, price_minor=500_000),
        ):
            subscriptions.add_subscription(desk, other)
        plan_offers.add_plan_offer(desk, PlanOfferDraft("NORVANE", 30, 18_000, "month"))
        draft = a_subscription(price_minor=price, ends_on=DAY + timedelta(length - 1))
        found = subscription_doubts.doubts(desk, subscriptions.add_subscription(desk, draft))
    assert len(found) == bool(told)
    assert told in "".join(found)


def test_a_first_price_of_a_make_and_a_free_one_raise_no_question(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        first = subscriptions.add_subscription(desk, a_subscription(price_minor=300_000))
        assert subscription_doubts.doubts(desk, first) == ()


def test_a_day_still_to_come_is_asked_about(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        ahead = desk.today + timedelta(1)
        one = subscriptions.add_subscription(desk, a_subscription(bought_on=ahead, ends_on=ahead))
        [told] = subscription_doubts.doubts(desk, one)
        assert told.startswith("Nov 1, 2026 is still to come: the review does not count it before.")
        today = subscriptions.add_subscription(desk, a_subscription(bought_on=desk.today))
        assert subscription_doubts.doubts(desk, today) == ()
