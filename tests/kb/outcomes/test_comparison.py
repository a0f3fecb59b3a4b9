"""Funnel limits, differences between groups, and subscriptions."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.proportion import proportion_confint

from kb.errors import BadInput
from kb.outcomes.alarms.funnel import funnel, funnel_limit
from kb.outcomes.comparison import compare
from kb.outcomes.conclusion import unlikeness, warnings
from kb.outcomes.money.cheapest_subscription import SubscriptionPlan, subscription_answer
from kb.outcomes.tally import DayCounts
from tests.kb.outcomes.made import answers, counts_of

TAILS = (0.001, 0.025, 0.975, 0.999)


def known(cured: int, failed: int) -> DayCounts:
    return counts_of([20] * failed + [90] * cured, [True] * failed + [False] * cured, 90)


@pytest.mark.parametrize(
    ("target", "n", "expected"),
    [
        # check values 4.0.8.10, .20, .50 and 4.0.1.50 (first limit clipped from -.016); the formula is
        # Spiegelhalter (2005), Stat. Med. 24:1185-1202, recalled from memory.
        (0.8, 10, (0.302464, 0.470506, 0.976717, 0.999069)),
        (0.8, 20, (0.460746, 0.583885, 0.938316, 0.995663)),
        (0.8, 50, (0.600856, 0.672906, 0.895595, 0.945224)),
        (0.1, 50, (0.0, 0.0138629, 0.179723, 0.240128)),
    ],
)
def test_the_funnel_limits_of_the_check_values(target: float, n: int, expected: tuple[float, ...]) -> None:
    found = [float(funnel_limit(target, n, tail)) for tail in TAILS]
    assert found == pytest.approx(expected, abs=5e-7)


@given(st.floats(0.01, 0.99), st.integers(1, 400), st.sampled_from(TAILS))
def test_a_funnel_limit_is_found_by_searching_counts_one_by_one(p: float, n: int, tail: float) -> None:
    r = next(r for r in range(n + 1) if stats.binom.cdf(r, n, p) > tail)
    below = stats.binom.cdf(r - 1, n, p) if r else 0.0
    share = (stats.binom.cdf(r, n, p) - tail) / (stats.binom.cdf(r, n, p) - below)
    assert float(funnel_limit(p, n, tail)) == pytest.approx(min(max((r - share) / n, 0), 1), abs=1e-9)


def test_only_an_update_far_outside_the_funnel_is_flagged() -> None:
    """By the exact sums: of 12 with .74 each, 2 or fewer are cured once in 10,000; of 20, 16 are usual."""
    shop = funnel(98 / 132, np.array([100, 20, 12, 0]), np.array([0.8, 0.8, 2 / 12, 1.0]))
    assert (shop.seldom | shop.often).tolist() == [False, False, True, False]
    assert np.all(shop.lower <= shop.upper)


def test_the_difference_squares_and_adds_both_rates_distances() -> None:
    # Newcombe (1998), Stat. Med. 17:873-890, method 10, with Clopper-Pearson ends in place of Wilson's.
    found = compare(known(56, 14), known(48, 32), level=0.95)
    (l1, u1), (l2, u2) = (proportion_confint(x, n, method="beta") for x, n in ((56, 70), (48, 80)))
    assert found.difference == pytest.approx(0.2)
    down, up = np.hypot(0.8 - l1, u2 - 0.6), np.hypot(u1 - 0.8, 0.6 - l2)
    assert found.interval == pytest.approx((0.2 - down, 0.2 + up))
    # Published with Wilson's ends: .0524 to .3339; exact ends are a little wider.
    assert found.interval[0] == pytest.approx(0.0524, abs=0.02)
    assert found.interval[1] == pytest.approx(0.3339, abs=0.02)


def test_unlike_groups_are_warned_of() -> None:
    makes = ({"Aster": 9, "Borea": 1}, {"Aster": 1, "Borea": 9})
    assert unlikeness(*makes) == pytest.approx(0.8)
    one, other = answers(20, 4), answers(18, 5)
    found = warnings(one, other, {"make": makes, "mileage": (makes[0], makes[0])})
    assert found == ("The groups differ by make: the difference may come from that.",)


@given(*[st.lists(st.tuples(st.integers(0, 90), st.booleans()), max_size=20)] * 2)
def test_any_two_groups_compare(one: list[tuple[int, bool]], two: list[tuple[int, bool]]) -> None:
    first, second = (counts_of([t for t, _ in g], [e for _, e in g], 90) for g in (one, two))
    found = compare(first, second)
    back = compare(second, first)
    assert -1 <= found.interval[0] <= found.difference + 1e-9
    assert found.difference == pytest.approx(-back.difference)
    assert found.interval == pytest.approx((-back.interval[1], -back.interval[0]))
    assert 0 <= found.p_value <= 1


PLANS = (
    SubscriptionPlan("day", 1, 4000),
    SubscriptionPlan("month", 30, 12_000),
    SubscriptionPlan("year", 365, 90_000),
)
FIRST = date(2026, 1, 5)


def test_a_busy_month_is_cheaper_by_the_month_and_a_lone_day_by_the_day() -> None:
    used = [FIRST + timedelta(x) for x in (0, 3, 7, 20, 29, 90)]
    answer = subscription_answer(used, PLANS)
    assert {name: cost.cost_minor for name, cost in answer.alone} == {
        "day": 24_000,
        "month": 24_000,
        "year": 90_000,
    }
    assert answer.cheapest.cost_minor == 16_000
    assert answer.cheapest.bought == (("day", 1), ("month", 1))
    assert subscription_answer([], PLANS).cheapest.cost_minor == 0


@settings(max_examples=60)
@given(
    st.lists(st.integers(0, 40), min_size=1, max_size=6),
    st.lists(st.tuples(st.integers(1, 20), st.integers(0, 50)), min_size=1, max_size=3),
)
def test_the_cheapest_mix_is_the_best_of_all_ways_to_cover(
    days: list[int], plans: list[tuple[int, int]]
) -> None:
    # Slow twin: at every day of use buy one of the plans or nothing, keep the cheapest cover.
    used = sorted(set(days))
    best = None
    for choice in product([None, *plans], repeat=len(used)):
        spans = [(d, d + plan[0] - 1) for d, plan in zip(used, choice, strict=True) if plan]
        if all(any(a <= d <= b for a, b in spans) for d in used):
            cost = sum(plan[1] for plan in choice if plan)
            best = cost if best is None else min(best, cost)
    named = [SubscriptionPlan(f"plan {i}", length, price) for i, (length, price) in enumerate(plans)]
    answer = subscription_answer([FIRST + timedelta(d) for d in days], named)
    assert answer.cheapest.cost_minor == best
    assert all(answer.cheapest.cost_minor <= cost.cost_minor for _, cost in answer.alone)


def test_plans_that_cannot_be_are_refused() -> None:
    with pytest.raises(BadInput):
        SubscriptionPlan("none", 0, 100)
    with pytest.raises(BadInput):
        subscription_answer([FIRST], [])
