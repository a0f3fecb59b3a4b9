"""Kaplan-Meier, Greenwood and log-rank against published tables and lifelines."""

from __future__ import annotations

import lifelines
import lifelines.statistics
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from kb.outcomes.survival import chance_from_here, kaplan_meier, log_rank
from kb.outcomes.tally import DayCounts
from tests.kb.outcomes.made import counts_of

# Freireich et al. (1963), Blood 21:699-716: weeks to relapse, 6-MP (with "still well") and placebo.
SIX_MP = [6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35]
RELAPSED = [bool(x) for x in (1, 1, 1, 0, 1, 0, 1, 0, 0, 1, 1, 0, 0, 0, 1, 1, 0, 0, 0, 0, 0)]
PLACEBO = [1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23]
WEEKS = [6, 7, 10, 13, 16, 22, 23]
# The project's worked example 3.18: 12 reflashes, comebacks on days 5, 20, 40.
JOBS = [5, 20, 40, 10, 15, 30, 30, 60, 90, 90, 90, 90]
CAME_BACK = [True] * 3 + [False] * 9

vehicles = st.lists(st.tuples(st.integers(0, 40), st.booleans()), min_size=1, max_size=60)


def split(pairs: list[tuple[int, bool]]) -> DayCounts:
    return counts_of([t for t, _ in pairs], [e for _, e in pairs], 40)


def test_the_6_mp_table_as_printed_by_r_survfit() -> None:
    curve = kaplan_meier(counts_of(SIX_MP, RELAPSED, 35))
    published = [0.857, 0.807, 0.753, 0.690, 0.627, 0.538, 0.448]
    assert curve.survival[WEEKS] == pytest.approx(published, abs=5e-4)
    assert curve.at_risk[WEEKS].tolist() == [21, 17, 15, 12, 11, 7, 6]


def test_6_mp_against_placebo_by_r_survdiff() -> None:
    # R survdiff: p = 4.17e-05, expected 19.3; chi-square 16.79 in Kleinbaum & Klein.
    found = log_rank(counts_of(SIX_MP, RELAPSED, 35), counts_of(PLACEBO, [True] * 21, 35))
    assert stats.chi2.isf(found.p_value, 1) == pytest.approx(16.79, abs=5e-3)
    assert found.p_value == pytest.approx(4.17e-5, abs=5e-8)
    assert found.expected_first == pytest.approx(19.25, abs=5e-3)


def test_the_worked_example_of_twelve_reflashes() -> None:
    curve = kaplan_meier(counts_of(JOBS, CAME_BACK, 90))
    assert curve.survival[[30, 90]] == pytest.approx([0.814815, 0.679012], abs=5e-7)


@given(vehicles)
def test_the_curve_is_that_of_lifelines_and_of_scipy(pairs: list[tuple[int, bool]]) -> None:
    curve = kaplan_meier(split(pairs))
    times, events = [t for t, _ in pairs], [e for _, e in pairs]
    fitted = lifelines.KaplanMeierFitter().fit(times, events, timeline=range(41))
    assert curve.survival == pytest.approx(fitted.survival_function_["KM_estimate"].to_numpy(), abs=1e-12)
    data = stats.CensoredData.right_censored(times, [not e for e in events])
    assert curve.at_window == pytest.approx(stats.ecdf(data).sf.evaluate(40), abs=1e-12)


@given(vehicles, vehicles)
def test_log_rank_is_that_of_lifelines(one: list[tuple[int, bool]], two: list[tuple[int, bool]]) -> None:
    if not any(event for _, event in one + two):
        assert log_rank(split(one), split(two)).p_value == 1.0
        return
    found = log_rank(split(one), split(two))
    if found.p_value == 1.0:
        return  # no spread left, or exactly as expected: lifelines divides 0 by 0
    times, events = zip(*one, strict=True), zip(*two, strict=True)
    (t1, e1), (t2, e2) = times, events
    reference = lifelines.statistics.logrank_test(t1, t2, e1, e2)
    assert found.p_value == pytest.approx(reference.p_value, rel=1e-8)


def test_the_chance_to_stay_free_is_read_off_the_pooled_curve() -> None:
    curve = kaplan_meier(counts_of(JOBS, CAME_BACK, 90))
    assert chance_from_here(curve, 30) == pytest.approx(0.679012 / 0.814815, abs=1e-5)
    assert chance_from_here(curve, 90) == 1.0
