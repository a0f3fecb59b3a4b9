"""Beliefs against scipy, direct integration and the published rat-tumor groups."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, optimize, stats
from scipy.special import betaln, expit

from kb.advice.chances import chance_points
from kb.advice.chances.belief import (
    Hierarchy,
    UpdateRecord,
    common_belief,
    counted_windows,
    from_guess,
    log_densities,
    log_likelihoods,
    log_odds_without,
    starting_draws,
    starting_grid,
    starting_mean,
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


def log_marginal(grid: Hierarchy, record: UpdateRecord) -> np.ndarray:
    """Log of P(record | a, b) at every grid point, up to binomial coefficients."""
    return chance_points.log_marginals(grid.a, grid.b, log_likelihoods([record]))[0]


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


@settings(max_examples=40)
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


@pytest.mark.parametrize(
    ("full", "left", "taken"),
    [
        (UpdateRecord(5, 2), UpdateRecord(4, 2), UpdateRecord(cured=1)),
        (UpdateRecord(1, 0), UpdateRecord(0, 0), UpdateRecord(cured=1)),
        (UpdateRecord(0, 1), UpdateRecord(0, 0), UpdateRecord(not_cured=1)),
        (UpdateRecord(3, 3, (0.2, 0.4)), UpdateRecord(3, 3, (0.2,)), UpdateRecord(in_window=(0.4,))),
        (UpdateRecord(0, 0, (1.0,)), UpdateRecord(), UpdateRecord(in_window=(1.0,))),
    ],
)
def test_taking_one_concern_out_is_the_same_as_never_having_counted_it(
    full: UpdateRecord, left: UpdateRecord, taken: UpdateRecord
) -> None:
    others = [UpdateRecord(1, 6), UpdateRecord(3, 3, (0.4,))]
    density = log_densities(common_belief([full, *others], SETTINGS), [full])[0]
    never = starting_mean(common_belief([left, *others], SETTINGS), left)
    assert expit(log_odds_without(density, taken)) == pytest.approx(never, abs=1e-8)


@pytest.mark.parametrize(
    ("cured", "other", "silent"),
    [(0.0, 0.0, 1), (3.0, 8.0, 40), (2.5, 0.0, 300), (400.0, 90.0, 2000), (1800.0, 200.0, 18000)],
)
def test_any_number_of_open_windows_counts_as_the_written_out_product_on_a_fine_grid(
    cured: float, other: float, silent: int
) -> None:
    """The slow twin: a million even steps of the log odds, every vehicle's own factor multiplied in.

    20,000 vehicles not heard of made every chance of the shop not a number once, 1,100 did.
    """
    random = np.random.default_rng(silent)
    shown = random.choice(np.linspace(0, 1, 91), size=silent)
    record = counted_windows(cured, other, shown.tolist())
    grid = starting_grid(SETTINGS)
    some = random.choice(np.flatnonzero(np.minimum(grid.a, grid.b) > 0.4), size=6, replace=False)
    odds = np.linspace(-60.0, 60.0, 1_000_001)
    p, q = expit(odds), expit(-odds)
    log_seen = cured * np.log(p) + other * np.log(q)
    for v, times in Counter(shown.tolist()).items():
        log_seen += times * np.log(p + q * (1 - v))
    for a, b in zip(grid.a[some], grid.b[some], strict=True):
        point = Hierarchy(np.array([a]), np.array([b]), np.ones(1))
        log_height = log_seen + a * np.log(p) + b * np.log(q) - betaln(a, b)
        height = np.exp(log_height - log_height.max())
        whole = np.log(np.trapezoid(height, odds)) + log_height.max()
        assert float(log_marginal(point, record)[0]) == pytest.approx(whole, abs=1e-6)
        mean = np.trapezoid(height * p, odds) / np.trapezoid(height, odds)
        assert starting_mean(point, record) == pytest.approx(mean, abs=1e-7)


def test_one_open_window_weighs_by_the_mean_of_every_beta_however_small_its_parameters() -> None:
    """E[1 - (1 - p) v] = 1 - v b / (a + b), by hand; the grid's parameters go down to .003."""
    grid = starting_grid(SETTINGS)
    for v in (0.0, 0.4, 1.0):
        found = np.exp(log_marginal(grid, UpdateRecord(0, 0, (v,))))
        assert found == pytest.approx(1 - v * grid.b / (grid.a + grid.b), rel=1e-8)


def test_draws_from_many_open_windows_lie_where_the_belief_does() -> None:
    """Quantiles of 20,000 draws against those of the belief on a fine grid, within 5 standard errors."""
    record = counted_windows(40.0, 25.0, [0.3] * 60 + [0.8] * 40)
    point = Hierarchy(np.array([2.0]), np.array([3.0]), np.ones(1))
    p = (np.arange(200_000) + 0.5) / 200_000
    log_height = 41 * np.log(p) + 27 * np.log1p(-p)
    log_height += 60 * np.log(1 - (1 - p) * 0.3) + 40 * np.log(1 - (1 - p) * 0.8)
    below = np.exp(log_height - log_height.max()).cumsum()
    got = starting_draws(point, record, 20_000, np.random.default_rng(3))
    for level in (0.05, 0.5, 0.95):
        at = p[np.searchsorted(below, level * below[-1])]
        assert (got < at).mean() == pytest.approx(level, abs=5 * np.sqrt(level * (1 - level) / 20_000))


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


def test_counts_take_over_from_a_start_however_sure_it_was() -> None:
    """A start of 1 in 10 at weight 40 once had cells of no weight, and no logarithm of it."""
    updates = [UpdateRecord(9, 1)] * 30
    for k, weight, far in ((1, 40, 0.25), (0, 8, 0.05), (1, 1000, 0.8)):
        shop = AdviceSettings(starting=Guess(k, weight))
        before = starting_mean(common_belief([], shop), UpdateRecord())
        after = starting_mean(common_belief(updates, shop), UpdateRecord())
        assert before == pytest.approx((k + 0.5) / 11, abs=0.005)
        assert before < after
        assert abs(after - 0.9) < far


@settings(max_examples=60)
@given(st.integers(0, 12), st.integers(0, 12))
def test_one_more_cure_raises_an_updates_chance_and_one_more_failure_lowers_it(
    cured: int, other: int
) -> None:
    def mean(record: UpdateRecord) -> float:
        return starting_mean(common_belief([record, UpdateRecord(2, 2)], SETTINGS), record)

    assert mean(UpdateRecord(cured + 1, other)) > mean(UpdateRecord(cured, other))
    assert mean(UpdateRecord(cured, other + 1)) < mean(UpdateRecord(cured, other))
