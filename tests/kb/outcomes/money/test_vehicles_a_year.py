"""Gamma and Poisson against scipy: its negative binomial, and the integral written out."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from kb.errors import BadInput
from kb.outcomes.money.vehicles_a_year import vehicles_a_year


def test_the_next_year_by_hand() -> None:
    """After 1 in half a year on a guess of 2 a year worth half a year: Gamma(2, rate 1). None next year with
    chance (1 / 2)^2, one with 2 (1 / 2)^2 (1 / 2), so two or more with 1/2.
    """
    belief = vehicles_a_year(1, 0.5, 2.0, 0.5)
    assert (belief.shape, belief.years, belief.mean) == (2.0, 1.0, 2.0)
    assert belief.chance_of_at_least(1) == pytest.approx(0.75)
    assert belief.chance_of_at_least(2) == pytest.approx(0.5)
    draws = belief.draws(np.random.default_rng(1), 40_000)
    assert (float(draws.mean()), float(draws.var())) == pytest.approx((2.0, 2.0), rel=0.05)
    with pytest.raises(BadInput, match="above 0"):
        vehicles_a_year(1, 1.0, 0.0, 0.5)


@given(st.integers(0, 60), st.floats(0.0, 3.0), st.floats(0.5, 20.0), st.floats(0.1, 2.0), st.integers(1, 40))
def test_forecasts_are_those_of_scipy(n: int, years: float, guess: float, worth: float, least: int) -> None:
    belief = vehicles_a_year(n, years, guess, worth)
    rate = stats.gamma(guess * worth + n, scale=1 / (worth + years))
    ends = (rate.ppf(1e-10), rate.ppf(1 - 1e-10))
    below, _ = integrate.quad(
        lambda a: rate.pdf(a) * stats.poisson.cdf(least - 1, a), *ends, limit=200, points=[rate.mean()]
    )
    assert belief.chance_of_at_least(least) == pytest.approx(1 - below, abs=1e-5)
    low, high = belief.interval(0.8)
    of_scipy = stats.nbinom(belief.shape, belief.years / (1 + belief.years))
    assert (low, high) == tuple(of_scipy.ppf([0.1, 0.9]))
