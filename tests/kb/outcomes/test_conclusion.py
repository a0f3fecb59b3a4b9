"""One conclusion of two tests, held against reference libraries, and which group was followed up better."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from lifelines.statistics import logrank_test
from scipy import stats

from kb.outcomes.comparison import Comparison, compare
from kb.outcomes.conclusion import Answers, Conclusion, conclude, warnings
from tests.kb.outcomes.made import answers, counts_of

WINDOW = 90

Group = tuple[tuple[int, ...], int]
"""Days of the failures, and how many others were followed to the window."""


def judged(first: Group, second: Group) -> tuple[Conclusion, int, float]:
    """The conclusion, and independently of it: which way round the interval of the difference (-1, 0, 1) and
    the log-rank test of lifelines tell the groups apart, the latter signed by the rate of failures.

    Nobody is out of sight, so each rate's ends are Clopper & Pearson's (scipy), squared and added: Newcombe
    (1998), Stat. Med. 17:873-890, method 10.
    """
    days, events, ends, rates, known = [], [], [], [], []
    for failed, free in (first, second):
        days.append([*failed, *[WINDOW] * free])
        events.append([1] * len(failed) + [0] * free)
        exact = stats.binomtest(free, free + len(failed)).proportion_ci(0.9, method="exact")
        ends.append((exact.low, exact.high))
        rates.append(free / (free + len(failed)))
        known.append(answers(free, len(failed)))
    gap = rates[0] - rates[1]
    low = gap - hypot(rates[0] - ends[0][0], ends[1][1] - rates[1])
    high = gap + hypot(ends[0][1] - rates[0], rates[1] - ends[1][0])
    counts = [counts_of(d, [bool(e) for e in es], WINDOW) for d, es in zip(days, events, strict=True)]
    p_value = logrank_test(days[0], days[1], events[0], events[1]).p_value
    return conclude(compare(*counts), *known), int(low > 0) - int(high < 0), float(p_value)


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        # 26 and 2 of 28 against 9 and 7 of 16: both tests tell them apart.
        (((10, 40), 26), ((5, 9, 20, 20, 60, 61, 88), 9), Conclusion.DIFFER),
        (((5, 9, 20, 20, 60, 61, 88), 9), ((10, 40), 26), Conclusion.DIFFER),
        (((10, 40), 18), ((20, 30, 60), 17), Conclusion.CLOSE),
        # Both lose about as many by day 90, but the second at once: the curves differ, their ends do not.
        (((90,) * 18, 18), ((0,) * 20, 16), Conclusion.TESTS_DISAGREE),
        # Nine answers in the second group are too few, however far apart the rates.
        (((), 26), ((1,) * 9, 0), Conclusion.CANNOT_TELL_YET),
        (((), 9), ((1,) * 12, 4), Conclusion.CANNOT_TELL_YET),
    ],
)
def test_groups_are_told_apart_only_where_both_tests_do(
    first: Group, second: Group, expected: Conclusion
) -> None:
    concluded, by_rates, p_value = judged(first, second)
    assert concluded is expected
    if expected is Conclusion.TESTS_DISAGREE:
        assert (by_rates == 0) != (p_value >= 0.1)


groups = st.tuples(st.lists(st.integers(0, 90), max_size=25).map(tuple), st.integers(0, 25))


@settings(max_examples=50)
@given(groups, groups)
def test_no_conclusion_goes_past_either_test(first: Group, second: Group) -> None:
    assume(all(len(failed) + free >= 10 for failed, free in (first, second)))
    concluded, by_rates, p_value = judged(first, second)
    if concluded is Conclusion.DIFFER:
        assert by_rates
        assert p_value < 0.1
    elif concluded is Conclusion.CLOSE:
        assert not by_rates
        assert p_value >= 0.1
    else:
        assert concluded is Conclusion.TESTS_DISAGREE


def test_tests_that_point_opposite_ways_conclude_nothing() -> None:
    """More cured at the window, yet more failed along the way than expected: curves that cross."""
    crossing = Comparison(0.2, (0.05, 0.35), 0.01, more_failed=3.0, by_silence=((0.05, 0.35), (0.05, 0.35)))
    assert conclude(crossing, answers(20, 10), answers(12, 18)) is Conclusion.TESTS_DISAGREE
    agreeing = replace(crossing, more_failed=-3.0)
    assert conclude(agreeing, answers(20, 10), answers(12, 18)) is Conclusion.DIFFER


def test_a_group_without_a_vehicle_past_its_window_is_too_early_however_many_failed() -> None:
    young = Answers(cured=0, failed=12, waiting=8, not_asked=0, ended=1, due=0, due_known=0)
    found = Comparison(0.5, (0.3, 0.7), 0.001, -9.0, ((0.3, 0.7), (0.3, 0.7)))
    assert conclude(found, answers(20, 4), young) is Conclusion.TOO_EARLY
    by_miles = Answers(cured=1, failed=12, waiting=8, not_asked=0, ended=1, due=0, due_known=0)
    assert conclude(found, answers(20, 4), by_miles) is Conclusion.DIFFER


@pytest.mark.parametrize(("silent", "expected"), [(10, Conclusion.DIFFER), (190, Conclusion.NOT_ASKED)])
@pytest.mark.parametrize("turned", [False, True])
def test_nothing_is_concluded_that_those_not_asked_could_turn_round(
    silent: int, expected: Conclusion, turned: bool
) -> None:
    """28 of 30 cured against 4 of 14, and `silent` more not heard of since the road test. By hand: were these
    all fine, 14 of 24 would be cured, or 194 of 204, which is more than 28 of 30.
    """
    good = counts_of([10] * 2 + [90] * 28, [True] * 2 + [False] * 28, WINDOW)
    days, failed = [10] * 10 + [90] * 4, [True] * 10 + [False] * 4
    bad = counts_of([*days, *[0] * silent], [*failed, *[False] * silent], WINDOW)
    all_fine = counts_of([*days, *[90] * silent], [*failed, *[False] * silent], WINDOW)
    pair, told = ((good, bad), (good, all_fine)), (answers(28, 2), answers(4, 10, not_asked=silent))
    if turned:
        pair, told = (pair[0][::-1], pair[1][::-1]), told[::-1]
    found = compare(*pair[0], 0.9, pair[1])
    low, high = found.by_silence[1 if turned else 0]
    gap = 28 / 30 - (4 + silent) / (14 + silent)
    assert low < (-gap if turned else gap) < high
    assert conclude(found, *told) is expected


@pytest.mark.parametrize("turned", [False, True])
def test_the_group_that_was_followed_up_better_is_named(turned: bool) -> None:
    pair = (answers(20, 4), answers(12, 0, not_asked=30))
    if turned:
        pair = pair[::-1]
    better, other = ("second", "first") if turned else ("first", "second")
    [said] = warnings(*pair)
    assert said.startswith(f"The {better} group was followed up much better")
    assert "of 24 of its 24 vehicles" in said
    assert f"in the {other} group of 12 of 42" in said


def test_neither_vehicles_that_wait_nor_a_few_say_how_a_group_was_followed_up() -> None:
    waiting = Answers(cured=10, failed=2, waiting=30, not_asked=0, ended=0, due=12, due_known=12)
    assert warnings(answers(20, 4), waiting) == ()
    few = Answers(cured=1, failed=0, waiting=1, not_asked=0, ended=0, due=1, due_known=1)
    assert warnings(answers(20, 4, not_asked=12), few) == ()


def test_a_young_group_that_mostly_waits_is_not_said_to_be_worse() -> None:
    """150 of 200 cured before a day; since then 1 cured, 16 not and 33 waiting: failures are heard of first
    (a case that a reader of the review met). Were those waiting fine, luck could give what is left.
    """
    good = counts_of([20] * 50 + [90] * 150, [True] * 50 + [False] * 150, WINDOW)
    days, failed = [5] * 16 + [90], [True] * 16 + [False]
    young = counts_of([*days, *[0] * 33], [*failed, *[False] * 33], WINDOW)
    fine = counts_of([*days, *[60] * 33], [*failed, *[False] * 33], WINDOW)
    told = (answers(150, 50), answers(1, 16, waiting=33))
    found = compare(good, young, 0.9, (good, fine))
    assert found.interval[0] > 0.3
    assert conclude(found, *told) is Conclusion.NOT_ASKED
