"""What subscriptions were used for and the cheapest plan, counted by hand and by trying every purchase."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from itertools import combinations_with_replacement
from typing import Any

import pytest

from kb.desk.bay.concern import concerns
from kb.desk.bay.programming import programming
from kb.desk.context import Desk, RunningShop
from kb.desk.notes import notes
from kb.desk.shop import subscriptions
from kb.desk.shop.subscription_use import SubscriptionReport, subscription_report
from kb.desk.shop.subscriptions import SubscriptionDraft, SubscriptionKind
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult
from tests.conftest import StandingClock
from tests.factories import a_concern, a_vehicle, an_update
from tests.kb.desk.imports.importing import LEAD

DONE, NOTHING_NEWER = ReflashResult.COMPLETED, ReflashResult.NOTHING_NEWER
Plans = tuple[tuple[int, int], ...]
VIN = "1" * 17
"""The usual example of a right check digit (49 CFR 565.15; from memory)."""


def cheapest_by_trying(days: Iterable[int], plans: Plans) -> int:
    """The least price over every set of purchases (plan, first day), at most one for each day of use.

    `plans` are (days in a row, price). Slow and obvious; a plan may begin on any day of the calendar.
    """
    used = sorted(set(days))
    if not used:
        return 0
    offers = [(begin, *plan) for plan in plans for begin in range(used[0], used[-1] + 1)]
    prices = [
        sum(price for _, _, price in some)
        for size in range(1, len(used) + 1)
        for some in combinations_with_replacement(offers, size)
        if all(any(begin <= day < begin + length for begin, length, _ in some) for day in used)
    ]
    return min(prices)


@contextmanager
def on_day(shop: RunningShop, clock: StandingClock, day: int) -> Iterator[Desk]:
    clock.move(days=day)
    with shop.writing(LEAD) as desk:
        yield desk
    clock.move(days=-day)


def buy(desk: Desk, make: str, length: int, price: int, plan: str = "") -> int:
    ends_on = desk.today + timedelta(length - 1)
    draft = SubscriptionDraft(make, SubscriptionKind.PROGRAMMING, price, desk.today, ends_on, plan)
    return subscriptions.add_subscription(desk, draft).id


def bring(desk: Desk, make: str, *numbers: str, **said: Any) -> list[int]:
    vehicle = a_vehicle(make=make, **said)
    return [
        concerns.open_concern(desk, a_concern(ro_number=number, vehicle=vehicle)).id for number in numbers
    ]


def sit(desk: Desk, under: int | None, results: dict[str, ReflashResult], served: list[int]) -> None:
    modules = tuple(
        ModuleResult(name, result, 1 if result is DONE else None, concern_ids=tuple(served))
        for name, result in results.items()
    )
    programming.record_event(desk, ProgrammingEventDraft(modules, desk.today, subscription_id=under))


@pytest.fixture
def report(shop: RunningShop, clock: StandingClock) -> SubscriptionReport:
    """Norvane is programmed on days 0, 1, 5 and 12, and once 400 days before; read on day 20.

    Day 0: one module for two concerns and one with nothing newer, under a day at $40. Day 3: a day at $30
    that nobody used. Day 5: three days at $75, on which three modules are done for one concern. Day 10: 90
    days at $500 without a use so far. Quellen: two days at $20 on day 0, with nothing newer. Three open
    Norvane concerns and no Quellen wait with an update in question.
    """
    with on_day(shop, clock, -400) as desk:
        notes.write_note(desk, an_update())
        sit(desk, None, {"PCM": DONE}, bring(desk, "Norvane", "1"))
    with on_day(shop, clock, 0) as desk:
        quellen = buy(desk, "Quellen", 2, 2_000)
        sit(desk, quellen, {"PCM": NOTHING_NEWER}, bring(desk, "Quellen", "2"))
        first = buy(desk, "Norvane", 1, 4_000)
        one_vehicle = bring(desk, "Norvane", "3", "3", vin=VIN, year=2001)
        sit(desk, first, {"PCM": DONE, "TCM": NOTHING_NEWER}, one_vehicle)
        news = SubscriptionDraft("Norvane", SubscriptionKind.INFORMATION, 7_777, desk.today, desk.today)
        subscriptions.add_subscription(desk, news)
    with on_day(shop, clock, 1) as desk:
        sit(desk, None, {"PCM": DONE}, bring(desk, "Norvane", "5"))
    with on_day(shop, clock, 3) as desk:
        buy(desk, "NORVANE", 1, 3_000)
    with on_day(shop, clock, 5) as desk:
        three = buy(desk, "Norvane", 3, 7_500)
        sit(desk, three, {"PCM": DONE, "TCM": DONE, "BCM": DONE}, bring(desk, "Norvane", "6"))
    with on_day(shop, clock, 10) as desk:
        buy(desk, "Norvane", 90, 50_000)
    with on_day(shop, clock, 12) as desk:
        sit(desk, None, {"PCM": DONE}, bring(desk, "Norvane", "7"))
    with on_day(shop, clock, 20) as desk:
        bring(desk, "Norvane", "8")
        bring(desk, "norvane", "9", "10")
        return subscription_report(desk)


def test_each_subscription_tells_what_it_was_used_for(report: SubscriptionReport) -> None:
    """Of three modules for one concern the concern counts once; what still runs is not for nothing yet."""
    found = {
        (one.subscription.content.make, one.subscription.content.price_minor): (
            one.modules,
            one.concerns,
            one.nothing_newer,
            one.for_nothing,
        )
        for one in report.used
    }
    assert found == {
        ("Norvane", 50_000): (0, 0, 0, False),
        ("Norvane", 7_500): (3, 1, 0, False),
        ("NORVANE", 3_000): (0, 0, 0, True),
        ("Norvane", 4_000): (1, 2, 1, False),
        ("Quellen", 2_000): (0, 0, 1, True),
    }
    bought_on = [one.subscription.content.bought_on for one in report.used]
    assert bought_on == sorted(bought_on, reverse=True)
    assert report.for_nothing_minor == 3_000 + 2_000


def test_a_make_is_one_line_in_any_writing(report: SubscriptionReport) -> None:
    found = [
        (one.make.casefold(), one.bought, one.price_minor, one.modules, one.concerns, one.for_nothing)
        for one in report.by_make
    ]
    assert found == [("norvane", 4, 64_500, 4, 3, 1), ("quellen", 1, 2_000, 0, 0, 1)]


def test_the_cheapest_plan_is_that_of_trying_every_purchase(report: SubscriptionReport) -> None:
    """Plans as last bought: the day now costs $30. The event 400 days ago is older than a year."""
    plans: Plans = ((1, 3_000), (3, 7_500), (90, 50_000))
    norvane, quellen = report.next_time
    assert norvane.answer is not None
    assert quellen.answer is not None
    assert norvane.answer.use_days == 4
    assert norvane.answer.cheapest.cost_minor == cheapest_by_trying((0, 1, 5, 12), plans) == 12_000
    alone = [cost.cost_minor for _, cost in norvane.answer.alone]
    assert alone == [cheapest_by_trying((0, 1, 5, 12), (plan,)) for plan in plans] == [12_000, 22_500, 50_000]
    assert (quellen.answer.use_days, quellen.answer.cheapest.cost_minor) == (1, 2_000)


def test_those_that_wait_cost_one_day_together_and_a_day_each_apart(report: SubscriptionReport) -> None:
    """Three over a month are ten days apart."""
    plans: Plans = ((1, 3_000), (3, 7_500), (90, 50_000))
    norvane, quellen = report.next_time
    assert norvane.together is not None
    assert norvane.apart is not None
    assert norvane.waiting == 3
    assert norvane.together.cheapest.cost_minor == cheapest_by_trying((0,), plans) == 3_000
    assert norvane.apart.cheapest.cost_minor == cheapest_by_trying((0, 10, 20), plans) == 9_000
    assert (norvane.paid_until is not None, quellen.paid_until) == (True, None)
    assert norvane.paid_until == date(2026, 10, 31) + timedelta(10 + 89)


def test_a_longer_plan_is_the_cheapest_where_days_lie_together(
    shop: RunningShop, clock: StandingClock
) -> None:
    """Days 0 to 2 and 9 under a day at $30 and three days at $75: 75 + 30, against 120 and 150."""
    plans: Plans = ((1, 3_000), (3, 7_500))
    with on_day(shop, clock, 0) as desk:
        notes.write_note(desk, an_update())
        buy(desk, "Norvane", 1, 3_000, "day")
        buy(desk, "Norvane", 3, 7_500, "short")
    for day in (0, 1, 2, 9):
        with on_day(shop, clock, day) as desk:
            sit(desk, None, {"PCM": DONE}, bring(desk, "Norvane", str(day)))
    with on_day(shop, clock, 10) as desk:
        [norvane] = subscription_report(desk).next_time
    assert norvane.answer is not None
    assert norvane.answer.cheapest.cost_minor == cheapest_by_trying((0, 1, 2, 9), plans) == 10_500
    assert dict(norvane.answer.cheapest.bought) == {"day, 1 day": 1, "short, 3 days": 1}
    assert (norvane.waiting, norvane.together, norvane.apart) == (0, None, None)


def test_a_year_plan_that_runs_is_paid_and_stands_beside_what_was_paid_before_it(
    shop: RunningShop, clock: StandingClock
) -> None:
    """Days 0, 100 and 200 under a day at $30 each, then a year at $75 on day 200: 90 + 75 against 75.

    On day 210 both are the last year's; one of $500 for 30 days on day -400 ended before it, one of two years
    on day -300 ran into it and is not in the sum.
    """
    with on_day(shop, clock, -400) as desk:
        notes.write_note(desk, an_update())
        buy(desk, "Norvane", 30, 50_000)
    with on_day(shop, clock, -300) as desk:
        buy(desk, "Norvane", 730, 9_900, "two years")
    for day in (0, 100, 200):
        with on_day(shop, clock, day) as desk:
            buy(desk, "NORVANE", 1, 3_000, "day")
            sit(desk, None, {"PCM": DONE}, bring(desk, "Norvane", str(day)))
    with on_day(shop, clock, 200) as desk:
        buy(desk, "Norvane", 365, 7_500, "year")
    with on_day(shop, clock, 210) as desk:
        [norvane] = subscription_report(desk).next_time
    assert norvane.answer is not None
    assert norvane.answer.cheapest.cost_minor == 7_500
    paid = norvane.spent
    assert (paid.count, paid.price_minor, paid.running_minor, paid.earlier) == (4, 16_500, 7_500, 1)
    assert norvane.more_minor == 16_500 - 7_500
    assert norvane.paid_until == date(2026, 10, 31) + timedelta(200 + 364)


def test_plans_of_one_name_are_told_apart_by_their_length(shop: RunningShop, clock: StandingClock) -> None:
    """Three days far apart, and both plans are called "2 seats", one of them after the make."""
    with on_day(shop, clock, 0) as desk:
        notes.write_note(desk, an_update())
        buy(desk, "Norvane", 1, 3_000, "2 seats")
        buy(desk, "Norvane", 10, 5_000, "Norvane 2 seats")
    for day in (0, 1, 50):
        with on_day(shop, clock, day) as desk:
            sit(desk, None, {"PCM": DONE}, bring(desk, "Norvane", str(day)))
    with on_day(shop, clock, 60) as desk:
        [norvane] = subscription_report(desk).next_time
    assert norvane.answer is not None
    assert dict(norvane.answer.cheapest.bought) == {"2 seats, 10 days": 1, "2 seats, 1 day": 1}
