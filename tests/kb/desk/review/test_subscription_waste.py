"""Free trials, days to come and what overlaps in the review of subscriptions, and what to buy, by hand."""

from __future__ import annotations

from datetime import timedelta

import pytest

from kb.desk.context import Desk, RunningShop
from kb.desk.notes import notes
from kb.desk.shop import plan_offers
from kb.desk.shop.next_subscription import NextTime
from kb.desk.shop.plan_offers import PlanOfferDraft
from kb.desk.shop.subscription_use import subscription_report
from tests.conftest import StandingClock
from tests.factories import an_update
from tests.kb.desk.imports.importing import LEAD
from tests.kb.desk.shop.test_subscription_use import DONE, bring, buy, on_day, sit


def program_on(shop: RunningShop, clock: StandingClock, *days: int) -> None:
    for day in days:
        with on_day(shop, clock, day) as desk:
            sit(desk, None, {"PCM": DONE}, bring(desk, "Norvane", str(day)))


def suggested(one: NextTime) -> list[tuple[list[tuple[str, int, int]], dict[str, int]]]:
    return [
        (
            [(plan.name, plan.price_minor, count) for plan, count in said.plans],
            {occasion.value: times for occasion, times in said.occasions},
        )
        for said in one.to_buy
    ]


def test_a_free_trial_is_no_plan_for_the_next_year(shop: RunningShop, clock: StandingClock) -> None:
    """Two days far apart: 2 x $45 by the day, not 2 x 30 days on trial for nothing, bought or on offer."""
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update())
        buy(desk, "Norvane", 1, 4_500, "day")
    with on_day(shop, clock, 5) as desk:
        buy(desk, "Norvane", 30, 0, "trial")
    program_on(shop, clock, 1, 60)
    with on_day(shop, clock, 70) as desk:
        [norvane] = subscription_report(desk).next_time
        assert norvane.answer is not None
        assert (norvane.answer.cheapest.bought, norvane.cheapest_minor) == ((("day, 1 day", 2),), 9_000)
        plan_offers.add_plan_offer(desk, PlanOfferDraft("Norvane", 30, 0, "trial"))
        [norvane] = subscription_report(desk).next_time
        assert norvane.cheapest_minor == 9_000


def test_a_make_known_by_a_free_trial_alone_is_paid_until_its_end_and_has_no_price(
    shop: RunningShop, clock: StandingClock
) -> None:
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update())
        buy(desk, "Norvane", 30, 0, "trial")
    program_on(shop, clock, 1)
    with on_day(shop, clock, 2) as desk:
        [norvane] = subscription_report(desk).next_time
        assert norvane.paid_until == desk.today + timedelta(27)
    assert (norvane.answer, norvane.to_buy, norvane.more_minor) == (None, (), 0)


def test_one_begun_while_another_of_its_make_runs_is_counted_with_its_price(
    shop: RunningShop, clock: StandingClock
) -> None:
    """Ten days from day 0: what begins on day 3 and on the last day, 9, overlaps; on day 10 it does not.

    A second one of day 30 is the later of two; another make, a free one and one of information do not count.
    """
    for day, make, length, price in [
        *((0, "Norvane", 10, 100), (3, "NOR-VANE", 2, 20), (3, "Quellen", 1, 5)),
        *((9, "Norvane", 1, 7), (10, "Norvane", 1, 1_000), (20, "Norvane", 5, 0)),
        *((21, "Norvane", 1, 400), (22, "norvane", 1, 0), (30, "Norvane", 1, 50), (30, "Norvane", 1, 60)),
    ]:
        with on_day(shop, clock, day) as desk:
            buy(desk, make, length, price)
    with on_day(shop, clock, 40) as desk:
        report = subscription_report(desk)
    norvane, quellen = report.by_make
    assert [one.content.price_minor for one in norvane.while_one_ran] == [60, 400, 7, 20]
    assert quellen.while_one_ran == ()
    assert (report.while_one_ran, report.while_one_ran_minor) == (4, 487)


def test_a_day_to_come_is_not_counted_before_it_comes(shop: RunningShop, clock: StandingClock) -> None:
    """$3,000 entered for a day 300 days ahead is neither a plan nor money spent, until then."""
    with on_day(shop, clock, 300) as desk:
        buy(desk, "Norvane", 1, 300_000)
    with on_day(shop, clock, 1) as desk:
        buy(desk, "Norvane", 1, 4_500)
        before = subscription_report(desk)
    with on_day(shop, clock, 300) as desk:
        after = subscription_report(desk)
    assert [(one.bought, one.price_minor) for one in before.by_make] == [(1, 4_500)]
    assert [one.begun for one in before.used] == [False, True]
    assert before.paid_minor == 4_500
    assert [(one.bought, one.price_minor) for one in after.by_make] == [(2, 304_500)]


def year_and_waiting(desk: Desk, waiting: int) -> NextTime:
    bring(desk, "Norvane", *(f"waits {number}" for number in range(waiting)))
    [norvane] = subscription_report(desk).next_time
    return norvane


@pytest.mark.parametrize(
    ("month", "waiting", "expected"),
    [
        # Two days in a year at $30 agree with one or with two days for those that wait.
        (12_000, 2, [([("day, 1 day", 3_000, 1)], {"together": 1, "apart": 2, "year": 2})]),
        (12_000, 1, [([("day, 1 day", 3_000, 1)], {"together": 1, "year": 2})]),
        (12_000, 0, [([("day, 1 day", 3_000, 1)], {"year": 2})]),
        # Five on days of their own cost 5 x 30 = 150 by the day, 120 with a month.
        (
            12_000,
            5,
            [
                ([("day, 1 day", 3_000, 1)], {"together": 1, "year": 2}),
                ([("month, 30 days", 12_000, 1)], {"apart": 1}),
            ],
        ),
    ],
)
def test_where_occasions_agree_there_is_one_plan_to_buy(
    shop: RunningShop,
    clock: StandingClock,
    month: int,
    waiting: int,
    expected: list[tuple[list[tuple[str, int, int]], dict[str, int]]],
) -> None:
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update())
        buy(desk, "Norvane", 1, 3_000, "day")
        plan_offers.add_plan_offer(desk, PlanOfferDraft("Norvane", 30, month, "month"))
    program_on(shop, clock, 1, 100)
    with on_day(shop, clock, 110) as desk:
        assert suggested(year_and_waiting(desk, waiting)) == expected


def test_a_mix_is_told_whole_and_what_is_paid_leaves_only_the_year(
    shop: RunningShop, clock: StandingClock
) -> None:
    """Days 1 to 5 and 100: a week at $75 and a day at $30 are 105, against 150 and 180."""
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update())
        buy(desk, "Norvane", 1, 3_000, "day")
        plan_offers.add_plan_offer(desk, PlanOfferDraft("Norvane", 7, 7_500, "week"))
    program_on(shop, clock, *range(1, 6), 100)
    mix = ([("day, 1 day", 3_000, 1), ("week, 7 days", 7_500, 1)], {"year": 1})
    with on_day(shop, clock, 110) as desk:
        told = suggested(year_and_waiting(desk, 1))
        assert told == [mix, ([("day, 1 day", 3_000, 1)], {"together": 1})]
        buy(desk, "Norvane", 1, 3_000, "day")
        assert suggested(year_and_waiting(desk, 1)) == [mix]
