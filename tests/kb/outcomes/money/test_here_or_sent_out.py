"""The break-even by hand, and against months played out day by day."""

from __future__ import annotations

from math import log

import numpy as np
import pytest
from scipy import stats

from kb.errors import BadInput
from kb.outcomes.money.access_as_needed import cheapest_a_year, cost_a_year
from kb.outcomes.money.cheapest_subscription import SubscriptionPlan
from kb.outcomes.money.here_or_sent_out import (
    BreakEven,
    Chance,
    Course,
    WayCosts,
    break_even,
    cheapest,
    courses_of,
)
from kb.outcomes.money.vehicles_a_year import VehiclesAYear

YEAR = SubscriptionPlan("a year", 365, 60_000)
DAYS = SubscriptionPlan("3 days", 3, 4_500)
SURE = Chance(0, 0, 0.0)


def test_the_break_even_by_hand() -> None:
    """$1,000 a year and $100 each against $150 each: the same at 20, less at 21. With one more in ten that
    fails here at $200, each costs $120: the same at 1,000 / 30 = 33.3, less at 34. At $150 each, never.
    """
    sent = WayCosts(0, 15_000)
    assert break_even(WayCosts(100_000, 10_000), sent).vehicles == 21
    fails = WayCosts(100_000, 10_000, failure_minor=20_000, failure=Chance(1, 10, 0.1))
    found = break_even(fails, sent)
    assert found.vehicles == 34
    assert found.low is not None
    assert found.low < 34
    assert found.high is None or found.high > 34
    assert break_even(WayCosts(100_000, 15_000), sent).vehicles is None
    assert break_even(WayCosts(100_000, 10_000), sent) == break_even(WayCosts(100_000, 10_000), sent)


def test_a_break_even_is_said_with_how_far_it_is_known() -> None:
    assert BreakEven(21, 21, 21).sentence == "Here costs less from 21 a year on."
    assert BreakEven(34, 25, 50).sentence == "Here costs less from 34 a year on (25 to 50)."
    maybe = "Here costs less from 34 a year on (25 or more, it may be at no number)."
    assert BreakEven(34, 25, None).sentence == maybe
    assert BreakEven(None, None, None).sentence == "Sending out costs less at any number of vehicles."
    maybe = "at any number of vehicles, as far as can be told: here may pay from 90 a year on."
    assert BreakEven(None, 90, None).sentence == f"Sending out costs less {maybe}"


def test_two_ways_chances_are_drawn_apart_unless_they_are_one() -> None:
    """$2,010 a year and $100 each against $200 each, a comeback of $500 by either way. Two chances of
    Beta(20, 80) differ by 0 +- sqrt(2 x 20 x 80 / (100^2 x 101)) = 0.0563, that is by $28.15 a vehicle: 90 %
    lie within 1.645 x $28.15 = $46.30 of $100, so that here pays from 2,010 / 146.30 = 13.7 to 2,010 / 53.70
    = 37.4. One chance of both cancels out: from 21.
    """
    a, same, b = Chance(10, 50, 0.2, 50.0), Chance(10, 50, 0.2, 50.0), Chance(11, 55, 0.2, 45.0)
    here = WayCosts(201_000, 10_000, comeback_minor=50_000, comeback=a)
    apart = break_even(here, WayCosts(0, 20_000, comeback_minor=50_000, comeback=b))
    assert apart.vehicles == 21
    assert apart.low == pytest.approx(14, abs=1)
    assert apart.high == pytest.approx(38, abs=3)
    one = break_even(here, WayCosts(0, 20_000, comeback_minor=50_000, comeback=same))
    assert (one.vehicles, one.low, one.high) == (21, 21, 21)


def test_access_as_needed_by_hand() -> None:
    """A day has a vehicle with chance 1/2: from purchase to purchase 3 days and on average one more, so
    365 / 4 purchases a year. A plan of a day is bought on each day with a vehicle, half of them.
    """
    half = 365 * log(2)
    assert cost_a_year(DAYS, half) == pytest.approx(4_500 * 365 / 4)
    assert cost_a_year(SubscriptionPlan("1 day", 1, 3_000), half) == pytest.approx(3_000 * 365 / 2)
    assert cost_a_year(YEAR, 1e6) == pytest.approx(60_000)
    assert cheapest_a_year([DAYS, YEAR], [0.0, 1.0, 500.0]) == pytest.approx(
        [0.0, float(cost_a_year(DAYS, 1.0)), float(cost_a_year(YEAR, 500.0))]
    )
    with pytest.raises(BadInput, match="plan"):
        cheapest_a_year([], 1.0)


def played_out(way: WayCosts, vehicles_a_year: float, months: int, seed: int) -> float:
    """What a year cost on average over so many months, each day, purchase and failure drawn, with the plan
    that turned out cheapest.
    """
    rng = np.random.default_rng(seed)
    days = round(months * 365 / 12)
    came = rng.poisson(vehicles_a_year / 365, days)
    spent = []
    for plan in way.plans:
        paid_until, price = 0, 0
        for day in np.flatnonzero(came).tolist():
            if day >= paid_until:
                paid_until, price = day + plan.days, price + plan.price_minor
        spent.append(price)
    vehicles = int(came.sum())
    failed = rng.binomial(vehicles, way.failure.mean)
    back = rng.binomial(vehicles, way.comeback.mean)
    at_once = rng.binomial(vehicles, way.road_test.mean) * way.road_test_minor
    of_vehicles = vehicles * way.each_minor + failed * way.failure_minor + back * way.comeback_minor + at_once
    rented = int(np.count_nonzero(came)) * way.device_day_minor
    return way.a_year_minor + (min(spent, default=0) + rented + of_vehicles) * 365 / days


@pytest.mark.parametrize("device", [(40_000, 0), (0, 3_500)], ids=["own device", "rented by the day"])
@pytest.mark.parametrize("plans", [(DAYS,), (YEAR,), (DAYS, SubscriptionPlan("30 days", 30, 15_000), YEAR)])
def test_ten_thousand_months_played_out_cost_the_same_and_break_even_alike(
    plans: tuple[SubscriptionPlan, ...], device: tuple[int, int]
) -> None:
    """Here has a device of $400 a year, or one for $35 a day, $90 each, 5 of 100 fail at $250; sent out asks
    $160; a comeback of $250 follows 15 of 100 either way, and 8 of 100, sent out 20, are still there at the
    road test, for $60.
    """
    back, (own, rent) = Chance(0, 0, 0.15), device
    here = WayCosts(
        own, 9_000, 25_000, 25_000, Chance(0, 0, 0.05), back, plans, 6_000, Chance(0, 0, 0.08), rent
    )
    sent = WayCosts(0, 16_000, 0, 25_000, SURE, back, (), 6_000, Chance(0, 0, 0.2))
    even = break_even(here, sent).vehicles
    assert even is not None
    for times, dearer in ((0.7, True), (1.4, False)):
        n = even * times
        ours, theirs = (played_out(one, n, 10_000, seed=7) for one in (here, sent))
        assert ours == pytest.approx(float(here.a_year(np.asarray([n]))[0]), rel=0.03)
        assert (ours > theirs) is dearer


def test_the_chance_to_be_right_is_that_of_enough_vehicles() -> None:
    """Here pays from 21 vehicles a year: its chance is that of so many, by the negative binomial of scipy."""
    here = WayCosts(100_000, 10_100, plans=(SubscriptionPlan("free", 365, 0),))
    belief = VehiclesAYear(40.0, 2.0)
    found = cheapest(courses_of(here, WayCosts(0, 15_000)), belief)
    assert set(found.chance) == {Course.BUY, Course.SEND_OUT}
    assert found.chance[Course.BUY] == pytest.approx(stats.nbinom.sf(20, 40, 2 / 3), abs=0.03)
    assert found.a_year_minor == {Course.BUY: 302_000.0, Course.SEND_OUT: 300_000.0}
    assert (found.best, found.next_minor, found.gain_minor) == (Course.SEND_OUT, 302_000.0, 2_000.0)
    assert found.next_best is Course.BUY
    assert found == cheapest(courses_of(here, WayCosts(0, 15_000)), belief)
    sure = cheapest(courses_of(here, WayCosts(0, 15_000)), VehiclesAYear(400.0, 4.0))
    assert sure.best is Course.BUY


def test_a_device_by_the_day_by_hand() -> None:
    """$30 on each day with a vehicle: 365 x (1 - exp(-12 / 365)) = 11.805 days for 12 vehicles a year,
    $354.15. A device of our own for $400 a year is cheaper from 365 x (1 - exp(-n / 365)) > 13.33 on, that
    is from n > -365 x ln(1 - 13.33 / 365) = 13.58: 14 vehicles. Work is $100 either way, sent out asks $160.
    """
    free = (SubscriptionPlan("free", 365, 0),)
    own, rented = (
        WayCosts(40_000, 10_000, plans=free),
        WayCosts(0, 10_000, plans=free, device_day_minor=3_000),
    )
    sent = WayCosts(0, 16_000)
    assert float(rented.a_year(np.asarray([12.0]), 0.0)[0]) == pytest.approx(35_415, abs=1)
    belief = VehiclesAYear(12.0, 1.0)
    found = cheapest(courses_of(own, sent, rented), belief)
    assert list(found.chance) == [Course.BUY, Course.RENT_DEVICE, Course.SEND_OUT]
    fourteen = stats.nbinom.sf(13, 12, 1 / 2)
    assert found.chance[Course.BUY] == pytest.approx(fourteen, abs=0.03)
    assert found.chance[Course.RENT_DEVICE] == pytest.approx(1 - fourteen, abs=0.03)
    assert found.chance[Course.SEND_OUT] == 0.0
    assert set(courses_of(None, sent, rented)) == {Course.RENT_DEVICE, Course.SEND_OUT}
    assert break_even(rented, sent).vehicles == 1
