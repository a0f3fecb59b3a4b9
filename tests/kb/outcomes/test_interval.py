"""The beta product interval of Fay, Brittain & Proschan (2013), Biostatistics 14:723-736."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.proportion import proportion_confint

from kb.errors import BadInput
from kb.outcomes.interval import band, beta_product
from kb.outcomes.survival import kaplan_meier
from kb.outcomes.tally import DayCounts
from tests.kb.outcomes.made import counts_of, stacked
from tests.kb.outcomes.test_survival import CAME_BACK, JOBS


def test_the_published_case_of_twelve_reflashes_at_90() -> None:
    # Ends .2935 to .9111: the project's design, section 6.
    low, high = beta_product(counts_of(JOBS, CAME_BACK, 90), 0.9)
    assert (float(low), float(high)) == pytest.approx((0.2935, 0.9111), abs=5e-5)


@given(st.lists(st.integers(0, 90), max_size=30), st.integers(0, 30), st.sampled_from([0.5, 0.8, 0.9, 0.95]))
def test_without_early_leavers_it_is_clopper_pearson(failing: list[int], cured: int, level: float) -> None:
    n = len(failing) + cured
    if not n:
        return
    counts = counts_of(failing + [90] * cured, [True] * len(failing) + [False] * cured, 90)
    expected = proportion_confint(cured, n, alpha=1 - level, method="beta")
    assert [float(x) for x in beta_product(counts, level)] == pytest.approx(expected, abs=1e-9)


@given(st.lists(st.tuples(st.integers(0, 90), st.booleans()), min_size=1, max_size=40))
def test_it_holds_the_rate_and_is_never_a_point_at_1(pairs: list[tuple[int, bool]]) -> None:
    counts = counts_of([t for t, _ in pairs], [e for _, e in pairs], 90)
    low, high = (float(x) for x in beta_product(counts, 0.9))
    rate = float(kaplan_meier(counts).at_window)
    assert 0.0 <= low <= rate + 1e-9
    assert low < high <= 1.0
    assert high >= rate - 1e-9 or counts.free[-1] == 0
    if counts.free[-1] == 0:
        assert low == 0.0
    if not counts.failed.any():
        assert high == 1.0


def test_the_ends_are_quantiles_of_the_product_drawn_directly() -> None:
    # Slow twin: 400,000 seeded draws of the betas. The matched beta is an approximation: within .01.
    counts = counts_of([3, 9, 20, 20, 41, 66, *[10] * 6, *[50] * 5, *[90] * 9], [True] * 6 + [False] * 20, 90)
    rng, upper, at_risk = np.random.default_rng(5), np.ones(400_000), 26.0
    for failed, free in zip(counts.failed, counts.free, strict=True):
        if failed:
            upper *= rng.beta(at_risk - failed + 1, failed, upper.size)
        at_risk -= failed + free
    lower = upper * rng.beta(9, 1, upper.size)
    low, high = beta_product(counts, 0.9)
    assert float(high) == pytest.approx(np.quantile(upper, 0.95), abs=0.01)
    assert float(low) == pytest.approx(np.quantile(lower, 0.05), abs=0.01)


def test_a_million_vehicles_keep_their_digits() -> None:
    counts = DayCounts(np.zeros(91), np.zeros(91))
    counts.failed[0], counts.free[90] = 200_000, 800_000
    expected = proportion_confint(800_000, 1_000_000, alpha=0.1, method="beta")
    assert [float(x) for x in beta_product(counts, 0.9)] == pytest.approx(expected, abs=1e-9)


def test_groups_together_are_the_groups_alone() -> None:
    one, two = counts_of(JOBS, CAME_BACK, 90), counts_of([90, 90, 3], [False, False, True], 90)
    together = beta_product(stacked([one, two]), 0.9)
    for i, alone in enumerate((one, two)):
        assert [float(x[i]) for x in together] == pytest.approx([float(x) for x in beta_product(alone, 0.9)])


@pytest.mark.parametrize("level", [0.0, 1.0, -1.0, float("nan")])
def test_a_level_outside_0_to_1_is_refused(level: float) -> None:
    with pytest.raises(BadInput):
        beta_product(counts_of(JOBS, CAME_BACK, 90), level)


@given(st.lists(st.tuples(st.integers(0, 12), st.booleans()), min_size=1, max_size=25), st.integers(0, 12))
def test_the_band_on_a_day_is_the_interval_of_a_window_that_ends_that_day(
    pairs: list[tuple[int, bool]], day: int
) -> None:
    whole = band(counts_of([t for t, _ in pairs], [e for _, e in pairs], 12), 0.9)
    short = beta_product(counts_of([t for t, _ in pairs], [e for _, e in pairs], day), 0.9)
    assert [float(x[day]) for x in whole] == pytest.approx([float(x) for x in short])
