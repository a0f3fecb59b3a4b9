"""Beliefs against scipy, direct integration and the published rat-tumor groups."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, optimize, stats

from kb.advice.belief import (
    Hierarchy,
    UpdateRecord,
    common_belief,
    from_guess,
    log_marginal,
    starting_draws,
    starting_grid,
    starting_mean,
    without,
)
from kb.errors import BadInput
from kb.nouns.advice import AdviceSettings, Guess

SETTINGS = AdviceSettings()

# Tumors of n rats: Tarone 1982, Biometrics 38:215-220, in Gelman et al., Bayesian Data Analysis, 5.1.
# Retyped from memory; the first test checks them against the published maximum likelihood.
RATS = (
    "0/20 0/20 0/20 0/20 0/20 0/20 0/20 0/19 0/19 0/19 0/19 0/18 0/18 0/17 1/20 1/20 1/20 1/20 1/19 1/19 "
    "1/18 1/18 2/25 2/24 2/23 2/20 2/20 2/20 2/20 2/20 2/20 1/10 5/49 2/19 5/46 3/27 2/17 7/49 7/47 3/20 "
    "3/20 2/13 9/48 10/50 4/20 4/20 4/20 4/20 4/20 4/20 4/20 10/48 4/19 4/19 4/19 5/22 11/46 12/49 5/20 "
    "5/20 6/23 5/19 6/22 6/20 6/20 6/20 16/52 15/47 15/46 9/24"
)
CURRENT = UpdateRecord(4, 10)


def rats() -> list[UpdateRecord]:
    pairs = [tuple(map(int, cell.split("/"))) for cell in RATS.split()]
    return [UpdateRecord(y, n - y) for y, n in pairs]


def test_log_marginals_peak_where_the_published_beta_binomial_fit_does() -> None:
    """check_values 2.1: alpha 2.304768, beta 14.079707 on 70 historical groups (CRAN BayesGOF vignette)."""
    groups = rats()
    assert len(groups) == 70

    def height(x: np.ndarray) -> float:
        point = Hierarchy(np.exp(x[:1]), np.exp(x[1:]), np.ones(1))
        return -sum(float(log_marginal(point, g)[0]) for g in groups)

    found = optimize.minimize(height, np.log([1.0, 10.0]), method="Nelder-Mead", options={"xatol": 1e-6})
    assert np.exp(found.x) == pytest.approx([2.30478, 14.0798], rel=2e-3)


def test_the_starting_belief_is_the_direct_integral_over_mean_and_spread() -> None:
    """A finer grid of its own, likelihoods from scipy.stats.betabinom, no code shared."""
    groups = [*rats(), CURRENT]
    found = starting_mean(common_belief(groups, SETTINGS), CURRENT)
    m = (np.arange(400) + 0.5) / 400
    log_size = np.linspace(np.log(8) - 4, np.log(8) + 4, 161)
    grid_m, grid_size = np.meshgrid(m, np.exp(log_size), indexing="ij")
    a, b = grid_m * grid_size, (1 - grid_m) * grid_size
    log_weight = stats.beta(2, 2).logpdf(grid_m) + stats.norm(np.log(8), 1).logpdf(np.log(grid_size))
    for g in groups:
        log_weight += stats.betabinom.logpmf(g.cured, g.cured + g.not_cured, a, b)
    weight = np.exp(log_weight - log_weight.max())
    direct = float((weight * (a + 4) / (a + b + 14)).sum() / weight.sum())
    assert found == pytest.approx(direct, abs=2e-3)


def test_seventy_groups_outweigh_the_shops_prior() -> None:
    """check_values 2.8: full-Bayes mean of the 71st group .2109 (raw .286), under a flat hyperprior."""
    found = starting_mean(common_belief([*rats(), CURRENT], SETTINGS), CURRENT)
    assert found == pytest.approx(0.2109, abs=0.01)


@settings(max_examples=40, deadline=None)
@given(
    st.floats(0.3, 6),
    st.floats(0.3, 6),
    st.integers(0, 5),
    st.integers(0, 5),
    st.lists(st.floats(0.0, 1.0), max_size=5),
)
def test_open_windows_enter_by_their_likelihood(
    a: float, b: float, cured: int, other: int, shown: list[float]
) -> None:
    """Numeric integral of Beta(a, b) p^cured (1-p)^other prod(1 - (1-p) v)."""

    def under(p: float, power: float = 0.0) -> float:
        seen = float(np.prod([1 - (1 - p) * v for v in shown]))
        return p**power * p**cured * (1 - p) ** other * seen * float(stats.beta(a, b).pdf(p))

    point = Hierarchy(np.array([a]), np.array([b]), np.ones(1))
    record = UpdateRecord(cured, other, tuple(shown))
    whole = integrate.quad(under, 0, 1, limit=200)[0]
    assert float(np.exp(log_marginal(point, record)[0])) == pytest.approx(whole, rel=1e-4)
    mean = integrate.quad(lambda p: under(p, 1.0), 0, 1, limit=200)[0] / whole
    assert starting_mean(point, record) == pytest.approx(mean, rel=1e-4)


def test_draws_have_the_mean_of_the_belief() -> None:
    records = [UpdateRecord(9, 3), UpdateRecord(2, 8), UpdateRecord(1, 0, (0.2, 0.7, 0.9))]
    common = common_belief(records, SETTINGS)
    for record in records:
        draws = starting_draws(common, record, 40_000, np.random.default_rng(1))
        assert draws.mean() == pytest.approx(starting_mean(common, record), abs=4 * draws.std() / 200)


def test_taking_one_concern_out_is_the_same_as_never_having_counted_it() -> None:
    full, left = UpdateRecord(5, 2), UpdateRecord(4, 2)
    others = [UpdateRecord(1, 6), UpdateRecord(3, 3, (0.4,))]
    taken_out = without(common_belief([full, *others], SETTINGS), full, left)
    assert taken_out.weight == pytest.approx(common_belief([left, *others], SETTINGS).weight, abs=1e-12)


def test_a_guess_of_k_of_ten_is_the_designs_beta() -> None:
    belief = from_guess(Guess(7, 4))
    assert (belief.alpha, belief.beta) == pytest.approx((4 * 7.5 / 11, 4 * 3.5 / 11))
    assert belief.mean == pytest.approx(stats.beta(belief.alpha, belief.beta).mean())
    for wrong in (Guess(-1, 4), Guess(11, 4), Guess(5, 0)):
        with pytest.raises(BadInput):
            from_guess(wrong)


def test_with_nothing_counted_the_start_is_the_shops_setting() -> None:
    settings = AdviceSettings(starting=Guess(3, 4))
    assert starting_mean(starting_grid(settings), UpdateRecord()) == pytest.approx(3.5 / 11, abs=1e-3)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 12), st.integers(0, 12))
def test_one_more_cure_raises_an_updates_chance_and_one_more_failure_lowers_it(
    cured: int, other: int
) -> None:
    def mean(record: UpdateRecord) -> float:
        return starting_mean(common_belief([record, UpdateRecord(2, 2)], SETTINGS), record)

    assert mean(UpdateRecord(cured + 1, other)) > mean(UpdateRecord(cured, other))
    assert mean(UpdateRecord(cured, other + 1)) < mean(UpdateRecord(cured, other))
