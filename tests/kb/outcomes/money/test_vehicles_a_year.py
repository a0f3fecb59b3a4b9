"""Gamma and Poisson by hand, and against the integral written out."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from kb.errors import BadInput
from kb.outcomes.money.vehicles_a_year import vehicles_a_year


def test_the_next_year_by_hand() -> None:
    """After 1 in half a year on a guess of 2 a year worth half a year: Gamma(2, rate 1). Next year n with
    chance (n + 1) (1 / 2)^(n + 2): none 1/4, up to one 1/2, two 11/16, three 13/16.
    """
    belief = vehicles_a_year(1, 0.5, 2.0, 0.5)
    assert (belief.shape, belief.years, belief.mean) == (2.0, 1.0, 2.0)
    assert belief.interval(0.4) == (1.0, 3.0)  # up to them first .3 and .7 or more
    assert belief.interval(0.6) == (0.0, 3.0)
    draws = belief.draws(np.random.default_rng(1), 40_000)
    assert (float(draws.mean()), float(draws.var())) == pytest.approx((2.0, 2.0), rel=0.05)
    with pytest.raises(BadInput, match="above 0"):
        vehicles_a_year(1, 1.0, 0.0, 0.5)


@given(st.integers(0, 60), st.floats(0.0, 3.0), st.floats(0.5, 20.0), st.floats(0.1, 2.0))
def test_the_interval_ends_where_the_integral_passes_its_tails(
    n: int, years: float, guess: float, worth: float
) -> None:
    rate = stats.gamma(guess * worth + n, scale=1 / (worth + years))
    ends = (rate.ppf(1e-10), rate.ppf(1 - 1e-10))

    def up_to(vehicles: float) -> float:
        def weighed(a: float) -> float:
            return float(rate.pdf(a) * stats.poisson.cdf(vehicles, a))

        return float(integrate.quad(weighed, *ends, limit=200, points=[rate.mean()])[0])

    interval = vehicles_a_year(n, years, guess, worth).interval(0.8)
    for end, tail in zip(interval, (0.1, 0.9), strict=True):
        assert up_to(end - 1) - 1e-5 < tail < up_to(end) + 1e-5
