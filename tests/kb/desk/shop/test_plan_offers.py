"""Plans that manufacturers sell enter the choice of the cheapest one, bought before or not."""

from __future__ import annotations

from datetime import timedelta

import pytest

from kb.desk.bay.advice.concern_in_hand import concern_in_hand
from kb.desk.bay.concern import concerns
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.context import Desk, RunningShop
from kb.desk.notes import notes
from kb.desk.shop import plan_offers, subscription_use, subscriptions
from kb.desk.shop.plan_offers import PlanOfferDraft
from kb.desk.shop.subscriptions import SubscriptionDraft, SubscriptionKind
from kb.errors import BadInput
from tests.conftest import StandingClock
from tests.factories import a_concern, an_update
from tests.kb.desk.imports.importing import LEAD


def waiting(desk: Desk, how_many: int) -> None:
    notes.write_note(desk, an_update())
    for number in range(how_many):
        concerns.open_concern(desk, a_concern(ro_number=str(number)))


def cheapest(desk: Desk) -> tuple[tuple[tuple[str, int], ...], int]:
    [make] = subscription_use.subscription_report(desk).next_time
    assert make.apart is not None
    return make.apart.cheapest.bought, make.apart.cheapest.cost_minor


def test_a_month_on_offer_beats_five_days_apart_and_a_new_price_turns_it_round(
    shop: RunningShop, clock: StandingClock
) -> None:
    """Five concerns on days of their own: 5 x 30 = 150 by the day, against 120 and then 180 for a month."""
    with shop.writing(LEAD) as desk:
        waiting(desk, 5)
        day = desk.today - timedelta(50)
        bought = SubscriptionDraft("Norvane", SubscriptionKind.PROGRAMMING, 3_000, day, day, "day")
        subscriptions.add_subscription(desk, bought)
        assert cheapest(desk) == ((("day, 1 day", 5),), 15_000)
        plan_offers.add_plan_offer(desk, PlanOfferDraft("norvane", 30, 12_000, "month"))
        assert cheapest(desk) == ((("month, 30 days", 1),), 12_000)
        dearer = plan_offers.add_plan_offer(desk, PlanOfferDraft("Norvane", 30, 18_000, "month"))
        assert cheapest(desk) == ((("day, 1 day", 5),), 15_000)
        assert [one.content.price_minor for one in plan_offers.list_plan_offers(desk)] == [18_000]
        plan_offers.retire_plan_offer(desk, dearer.id)
        assert plan_offers.list_plan_offers(desk) == ()


def test_what_runs_today_need_not_be_bought(shop: RunningShop) -> None:
    with shop.writing(LEAD) as desk:
        waiting(desk, 1)
        until = desk.today + timedelta(5)
        running = SubscriptionDraft("Norvane", SubscriptionKind.PROGRAMMING, 9_900, desk.today, until)
        subscriptions.add_subscription(desk, running)
        [make] = subscription_use.subscription_report(desk).next_time
        assert (make.paid_until, make.waiting) == (until, 1)


@pytest.mark.parametrize(
    ("draft", "field"),
    [
        (PlanOfferDraft(" ", 30, 100), "make"),
        (PlanOfferDraft("Norvane", 0, 100), "days"),
        (PlanOfferDraft("Norvane", 30, -1), "price"),
    ],
)
def test_a_plan_that_cannot_be_is_refused(shop: RunningShop, draft: PlanOfferDraft, field: str) -> None:
    with shop.writing(LEAD) as desk, pytest.raises(BadInput) as refused:
        plan_offers.add_plan_offer(desk, draft)
    assert field in refused.value.fields


def test_the_advice_counts_the_cheapest_way_in_not_the_year_that_was_bought_last(
    shop: RunningShop,
) -> None:
    def fee(desk: Desk) -> float:
        return concern_in_hand(desk, read_concern(desk, 1)).costs.subscription_fee

    with shop.writing(LEAD) as desk:
        waiting(desk, 1)
        begin = desk.today - timedelta(400)
        year = SubscriptionDraft(
            "Norvane", SubscriptionKind.PROGRAMMING, 99_000, begin, begin + timedelta(364)
        )
        subscriptions.add_subscription(desk, year)
        assert fee(desk) == 990.0
        day = plan_offers.add_plan_offer(desk, PlanOfferDraft("NORVANE", 1, 3_000))
        plan_offers.add_plan_offer(desk, PlanOfferDraft("Quellen", 1, 100))
        assert fee(desk) == 30.0
        plan_offers.retire_plan_offer(desk, day.id)
        assert fee(desk) == 990.0


def test_a_free_trial_does_not_make_the_next_one_free_for_the_advice(shop: RunningShop) -> None:
    """A day at $45, then a month on trial at 0: the next still costs $45. A plan on offer may be free."""

    def buy(desk: Desk, price: int, ago: int, length: int) -> None:
        begin = desk.today - timedelta(ago)
        until = begin + timedelta(length - 1)
        said = SubscriptionDraft("Norvane", SubscriptionKind.PROGRAMMING, price, begin, until)
        subscriptions.add_subscription(desk, said)

    with shop.writing(LEAD) as desk:
        buy(desk, 0, 300, 30)
        assert plan_offers.price_of_access(desk, "Norvane") is None
        buy(desk, 4_500, 200, 1)
        buy(desk, 0, 100, 30)
        buy(desk, 300_000, -300, 1)  # a day still to come says nothing yet
        assert plan_offers.price_of_access(desk, "Norvane") == 4_500
        plan_offers.add_plan_offer(desk, PlanOfferDraft("Norvane", 7, 0, "free week"))
        assert plan_offers.price_of_access(desk, "Norvane") == 0
