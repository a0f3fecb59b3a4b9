"""What was paid and until when it is paid, by hand and by walking day after day."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from kb.outcomes.money.subscriptions_bought import Purchase, Spent, begun_while_one_ran, paid_through, spent

TODAY = date(2026, 11, 25)
SINCE = TODAY - timedelta(365)


def bought(first: int, length: int, price: int = 1_000) -> Purchase:
    """`first` is counted in days from today; `length` 1 is one day."""
    day = TODAY + timedelta(first)
    return Purchase(day, day + timedelta(length - 1), price)


@given(st.lists(st.builds(bought, st.integers(-40, 40), st.integers(1, 30)), max_size=8))
def test_it_is_paid_until_the_day_before_the_first_that_none_covers(purchases: list[Purchase]) -> None:
    """The slow twin asks of every day from today on whether some purchase covers it."""
    day = TODAY
    while any(one.first <= day <= one.last for one in purchases):
        day += timedelta(1)
    expected = day - timedelta(1) if day > TODAY else None
    assert paid_through(purchases, TODAY) == expected


@given(st.lists(st.builds(bought, st.integers(-800, 5), st.integers(1, 400), st.integers(0, 9)), max_size=8))
def test_what_was_spent_is_counted_purchase_by_purchase(purchases: list[Purchase]) -> None:
    year = [TODAY - timedelta(ago) for ago in range(365)]
    lately = [one for one in purchases if one.first in year]
    running = [one for one in lately if one.first <= TODAY <= one.last]
    before = [one for one in purchases if one.first < year[-1] and one.last in [*year, *_later()]]
    assert spent(purchases, SINCE, TODAY) == Spent(
        len(lately),
        sum(one.price_minor for one in lately),
        sum(one.price_minor for one in running),
        len(before),
    )


def _later() -> list[date]:
    return [TODAY + timedelta(days) for days in range(1, 401)]


def test_a_year_from_today_to_the_day_before_is_365_days() -> None:
    """Bought on the first day of the year that ends today counts; on the day before it does not."""
    first_day, before = bought(-364, 1, 70), bought(-365, 1, 500)
    assert spent([first_day, before], SINCE, TODAY) == Spent(1, 70, 0, 0)
    year_plan = bought(-370, 365, 90_000)
    assert spent([year_plan], SINCE, TODAY) == Spent(0, 0, 0, 1)
    assert paid_through([year_plan], TODAY) is None
    assert paid_through([year_plan, bought(0, 1)], TODAY) == TODAY


@given(st.lists(st.builds(bought, st.integers(-20, 20), st.integers(1, 15), st.integers(0, 2)), max_size=8))
def test_what_began_while_one_ran_is_found_pair_by_pair(purchases: list[Purchase]) -> None:
    """The slow twin looks for the first day of each among all days of every one begun before it."""
    expected = {
        place
        for place, one in enumerate(purchases)
        for other_place, other in enumerate(purchases)
        if one.price_minor > 0
        and (other.first, other_place) < (one.first, place)
        and one.first in [other.first + timedelta(n) for n in range((other.last - other.first).days + 1)]
    }
    found = begun_while_one_ran(purchases)
    assert set(found) == expected
    assert len(found) == len(expected)
    assert [purchases[place].first for place in found] == sorted(purchases[place].first for place in found)
