"""Tempering against statsmodels, numeric curvature and the identity it must keep."""

from __future__ import annotations

import math

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize
from scipy.special import expit

from kb.advice.chances.tempering import LEAST_B, Tempering, fit, tempered

Array = np.typing.NDArray[np.float64]


def rows(count: int, scale: float, seed: int = 3) -> tuple[Array, Array, Array]:
    """Starting logits, pushes that say `scale` of the truth, outcomes."""
    random = np.random.default_rng(seed)
    start, push = random.normal(-0.5, 0.7, count), random.normal(0.0, 2.0, count)
    chance = 1 / (1 + np.exp(-(start + 0.3 + scale * push)))
    return start, push, (random.random(count) < chance).astype(float)


def by_statsmodels(start: Array, push: Array, cured: Array) -> Array:
    """check_values 7: whitening X' = X L, offset = start + X m, unit ridge; then b = m + L u."""
    spread, mean = np.diag([0.5, 0.3]), np.array([0.0, 1.0])
    design = np.column_stack([np.ones_like(push), push])
    model = sm.GLM(cured, design @ spread, family=sm.families.Binomial(), offset=start + design @ mean)
    found = model.fit_regularized(alpha=1 / len(cured), L1_wt=0.0, maxiter=500, cnvrg_tol=1e-12)
    return np.asarray(mean + spread @ found.params)


@pytest.mark.parametrize(("count", "scale"), [(12, 1.0), (150, 0.5), (600, 0.8)])
def test_the_fit_is_the_ridge_fit_of_statsmodels(count: int, scale: float) -> None:
    """To 1e-4: its coordinate descent stops earlier than Newton's method."""
    data = rows(count, scale)
    found = fit(*data)
    assert (found.a, found.b) == pytest.approx(tuple(by_statsmodels(*data)), abs=1e-4)


def test_the_spread_is_the_inverse_of_the_numeric_curvature() -> None:
    start, push, cured = rows(80, 0.7)
    found = fit(start, push, cured)

    def height(a: float, b: float) -> float:
        odds = start + a + b * push
        data = float((cured * odds - np.logaddexp(0, odds)).sum())
        return data - 0.5 * (a / 0.5) ** 2 - 0.5 * ((b - 1) / 0.3) ** 2

    h, at = 1e-3, (found.a, found.b)
    unit = np.eye(2) * h
    curvature = np.array(
        [
            [
                -(
                    height(*(at + unit[i] + unit[j]))
                    - height(*(at + unit[i] - unit[j]))
                    - height(*(at - unit[i] + unit[j]))
                    + height(*(at - unit[i] - unit[j]))
                )
                / (4 * h * h)
                for j in range(2)
            ]
            for i in range(2)
        ]
    )
    assert np.array(found.covariance) == pytest.approx(np.linalg.inv(curvature), rel=1e-4)


def test_without_outcomes_the_evidence_is_taken_at_its_word() -> None:
    nothing = np.empty(0)
    assert fit(nothing, nothing, nothing) == Tempering(0.0, 1.0, ((0.25, 0.0), (0.0, 0.09)))


def test_evidence_that_points_the_wrong_way_is_never_turned_round() -> None:
    start, push, cured = rows(3000, -1.0)
    assert fit(start, push, cured).b == LEAST_B


def test_draws_keep_to_the_least_b() -> None:
    wide = Tempering(0.0, 0.15, ((0.1, 0.0), (0.0, 0.5)))
    assert wide.draws(500, np.random.default_rng(0))[1].min() >= LEAST_B


@settings(max_examples=200)
@given(st.floats(0.02, 0.98), st.floats(0.02, 0.98), st.floats(0.1, 2.0))
def test_a_tempered_check_pushes_exactly_b_times_its_log_ratio(cured: float, other: float, b: float) -> None:
    up, base = tempered(cured, other, b)
    assert 0.0 < base < 1.0
    assert 0.0 < up < 1.0
    if abs(cured - other) > 1e-3:
        assert math.log(up / base) == pytest.approx(b * math.log(cured / other), abs=1e-6)
        against = math.log((1 - cured) / (1 - other))
        assert math.log((1 - up) / (1 - base)) == pytest.approx(b * against, abs=1e-6)


def test_vehicles_not_heard_of_take_the_bias_out_that_leaving_them_out_puts_in() -> None:
    """True (a, b) = (.3, 1). Nearly all failures are heard of, half the cures never.

    Of cures .5 stay silent, of failures .05: silence if not cured is .1 times as likely.
    """
    start, push, cured = rows(20_000, 1.0)
    random = np.random.default_rng(7)
    heard = np.where(cured == 1, random.random(cured.size) < 0.5, random.random(cured.size) < 0.95)
    silence = np.where(heard, np.nan, 0.05 / 0.5)
    known = fit(start[heard], push[heard], cured[heard])
    whole = fit(start, push, np.where(heard, cured, 0.0), silence)
    assert known.a < 0.0
    assert abs(whole.a - 0.3) < 0.06
    assert abs(whole.b - 1.0) < 0.06


def test_open_answers_are_fitted_to_the_top_of_their_own_likelihood() -> None:
    """scipy.optimize.minimize on log(p + (1 - p) s) for the open rows, the prior of (a, b) added."""
    start, push, cured = rows(200, 1.0)
    silence = np.where(np.arange(cured.size) % 3 == 0, 0.3, np.nan)
    waiting = ~np.isnan(silence)

    def loss(x: Array) -> float:
        p = expit(start + x[0] + x[1] * push)
        likelihood = np.where(waiting, p + (1 - p) * 0.3, np.where(cured == 1, p, 1 - p))
        return float(0.5 * (x[0] / 0.5) ** 2 + 0.5 * ((x[1] - 1) / 0.3) ** 2 - np.log(likelihood).sum())

    found = minimize(loss, np.array([0.0, 1.0]), tol=1e-10).x
    fitted = fit(start, push, cured, silence)
    assert (fitted.a, fitted.b) == pytest.approx(tuple(found), abs=1e-4)
