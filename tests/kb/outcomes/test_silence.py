"""What silence says: delays under right truncation by hand, h from the calls, one h for the shop."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from kb.nouns.outcomes import Standing
from kb.outcomes.failure_delays import failing_by, prior_delays, told_within
from kb.outcomes.shrinkage import cure_chances, heard_of, vehicles_of
from kb.outcomes.silence import Silence, calls_of, silence_of, silent_counts
from kb.outcomes.tally import Tally, tally_rows
from kb.outcomes.told_unasked import Calls, told_points
from kb.outcomes.updates_in_general import HyperPrior
from tests.kb.outcomes.made import even_silence

BACK, AT_ONCE, FOLLOWED = Standing.COMEBACK, Standing.FAILED_AT_ROAD_TEST, Standing.FOLLOWED_TO_WINDOW
WAITING, OVERDUE, NOT_KNOWN = Standing.IN_WINDOW, Standing.OVERDUE, Standing.NOT_KNOWN


def shop(*groups: tuple[int, int, Standing, int], window: int = 90) -> Tally:
    """Groups of (day, age, standing, vehicles) of one update."""
    rows = [(1, 0, day, age, standing, 0, count) for day, age, standing, count in groups]
    return tally_rows(rows, window)


def test_before_any_failure_delays_are_the_stated_bins_of_20() -> None:
    # 6 at the road test, 4 by day 10, 5 by 30, 3 by 60, 2 by 90.
    assert np.cumsum(prior_delays(90))[[0, 10, 30, 60, 90]].tolist() == pytest.approx([6, 10, 15, 18, 20])
    assert failing_by(shop(), 0.8)[[0, 10, 30, 60, 90]] == pytest.approx([0.3, 0.5, 0.75, 0.9, 1.0])


def test_young_vehicles_show_short_delays_only_and_are_not_taken_for_all_delays() -> None:
    """A window of 3 days worked by hand, all told unasked. The prior of 20 is 6, 9, 3, 2 on days 0 to 3.

    30 failures of old vehicles, 10 each on days 1, 2 and 3, and 40 of vehicles one day old, all on day 1. In
    view by day u of age u: day 3: 20 + 30 = 50, of which 12 on it; day 2: 18 + 20 = 38, of which 13; day 1:
    15 + 10 + 40 = 65, of which 59. So F(2) = 38/50, F(1) = F(2) 25/38 = .5, F(0) = F(1) 6/65.
    Uncorrected F(1) would be 65/90.
    """
    counts = shop(*((day, 3, BACK, 10) for day in (1, 2, 3)), (1, 1, BACK, 40), window=3)
    assert prior_delays(3).tolist() == pytest.approx([6.0, 9.0, 3.0, 2.0])
    assert failing_by(counts, 1.0) == pytest.approx([0.5 * 6 / 65, 0.5, 38 / 50, 1.0])


def test_what_is_told_late_is_told_by_an_age_only_if_it_showed_and_was_told_by_then() -> None:
    """F = .3, .6, .8, 1 of which .3 at the road test; half told on the day, half a day later. By hand: .3,
    .3 + .15, then .15 + .1 more, and all by the window's end, when it is called.
    """
    silence = Silence(np.array([0.3, 0.6, 0.8, 1.0]), np.array([0.5]), 0.0, np.array([0.5, 1.0]))
    told = [float(silence.known_by(0, age, 1.0)) for age in range(4)]
    assert told == pytest.approx([0.3, 0.45, 0.7, 1.0])
    assert silence.known_by(0, 2, 0.5) == pytest.approx(0.3 + 0.5 * 0.4)
    assert silence.known_by(2, 2, 0.5) == pytest.approx(0.8)  # seen fine that day: the day it failed counts


def test_how_late_failures_are_told_is_not_read_from_the_first_calls_alone() -> None:
    """Prior 5 at once. Of old failures 4 at once and 1 after 2 days, and 6 at once of today's: those cannot
    show a lag of 2 days, so it is 1 of 10, not 1 of 16.
    """
    lags = [(0, 30, 4), (2, 30, 1), (0, 0, 6)]
    assert told_within(lags, 3) == pytest.approx([0.9, 0.9, 1.0, 1.0])
    assert told_within([], 3) == pytest.approx([1.0] * 4)


def test_comebacks_stand_for_those_not_told_and_those_of_no_known_day_are_spread() -> None:
    """Half told unasked, half of the silent ones reached: 3 of 4 comebacks are on file, so each counts 4/3.

    15 at the road test, 12 on day 40, 3 put on day 0 since nobody knows their day: 20 comebacks, on day 40.
    """
    counts = shop(
        (0, 90, AT_ONCE, 15), (40, 90, BACK, 12), (0, 90, BACK, 3), (90, 90, FOLLOWED, 7), (0, 90, OVERDUE, 7)
    )
    prior = np.cumsum(prior_delays(90))
    shown = failing_by(counts, 0.5)
    assert shown[[0, 39, 40]] == pytest.approx([21 / 55, (prior[39] + 15) / 55, (prior[40] + 35) / 55])


def test_delays_are_found_again_in_drawn_young_shops() -> None:
    """4,000 failures of vehicles 0 to 90 days old; those whose delay is beyond their age are not on file."""
    random = np.random.default_rng(12)
    age = random.integers(0, 91, 4000)
    delay = np.ceil(random.exponential(30, 4000)).astype(int)
    real = delay <= 90
    told = real & (delay <= age)
    groups = [(int(d), int(a), BACK, 1) for d, a in zip(delay[told], age[told], strict=True)]
    shown = failing_by(shop(*groups), 1.0)
    for day in (10, 30, 60):
        assert shown[day] == pytest.approx(np.mean(delay[real] <= day), abs=0.06)


def test_h_is_learned_from_the_calls_as_by_direct_integration() -> None:
    """30 told unasked and 10 found where half of the silent ones were reached: 20 untold of 50, h near .6."""

    def belief(h: float) -> float:
        known = h + (1 - h) * 0.5
        return float(stats.beta.pdf(h, 4, 1) * (h / known) ** 30 * ((1 - h) * 0.5 / known) ** 10)

    total = integrate.quad(belief, 0, 1)[0]
    mean = integrate.quad(lambda h: h * belief(h), 0, 1)[0] / total
    points = told_points(Calls(30, 10, 0.5))
    assert points.size == 5
    assert points.mean() == pytest.approx(mean, abs=1e-4)
    assert 0.58 < mean < 0.66
    assert told_points(Calls()).mean() == pytest.approx(0.8, abs=1e-4)


def test_silence_does_not_move_h() -> None:
    quiet = shop((0, 90, OVERDUE, 500), (20, 90, BACK, 3))
    assert silence_of(quiet, calls_of(quiet, 0, 0)).mean_told == pytest.approx(0.8, abs=1e-4)
    assert calls_of(shop((90, 90, FOLLOWED, 8), (0, 90, OVERDUE, 10)), 5, 2) == Calls(5, 2, 0.5)


def test_silent_vehicles_are_counted_by_day_seen_and_age() -> None:
    counts = shop((0, 30, WAITING, 4), (20, 90, OVERDUE, 2), (5, 60, BACK, 3), (0, 50, NOT_KNOWN, 9))
    found = silent_counts(counts, np.array([1]))
    assert found.failed.tolist() == [3]
    kinds = zip(found.seen.tolist(), found.age.tolist(), found.free[0].tolist(), strict=True)
    assert sorted(kinds) == [(0, 30, 4.0), (20, 90, 2.0)]


def test_the_values_of_h_are_mixed_outside_the_product_over_updates() -> None:
    """The mean of the beliefs that each value gives on its own, however unlikely it makes the counts."""
    rows = [(u, 0, 0, 90, OVERDUE, 0, 20 * u) for u in (1, 2)] + [(u, 0, 10, 90, BACK, 0, 3) for u in (1, 2)]
    counts = silent_counts(tally_rows(rows, 90), np.array([1, 2]))
    even = even_silence(90)
    alone = [cure_chances(vehicles_of(counts, even, told)).mean for told in (0.2, 0.9)]
    both = Silence(even.failing, np.array([0.2, 0.9]), 0.0)
    mixed = heard_of(counts, counts, np.array([0, 1]), both, HyperPrior())
    assert mixed.mean == pytest.approx(np.mean(alone, axis=0))


@given(st.integers(0, 90), st.integers(0, 90), st.floats(0, 1))
def test_what_is_known_lies_between_the_day_seen_and_the_age(one: int, other: int, told: float) -> None:
    silence, (seen, age) = silence_of(shop()), sorted((one, other))
    known = silence.known_by(seen, age, told)
    assert silence.failing[seen] - 1e-12 <= known <= silence.failing[age] + 1e-12
