"""Shrunken cure chances: published fits, a slow direct integration, and what must hold of any shop."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, special, stats

from kb.errors import BadInput
from kb.outcomes.shrinkage import Vehicles, believe, cure_chances, vehicles_of, what_others_say
from kb.outcomes.tally import DayCounts, Floats
from kb.outcomes.updates_in_general import HyperPrior, hyper_grid
from tests.kb.outcomes.made import counts_of, even_silence, long_silent, stacked
from tests.kb.outcomes.rats import CURRENT, HISTORICAL

FOLLOWED = np.array([1.0])


def followed(cured: list[float], tried: list[float]) -> Vehicles:
    """Vehicles all followed to the window."""
    return Vehicles(np.array(tried) - np.array(cured), np.array(cured, dtype=float)[:, None], FOLLOWED)


def test_the_current_rats_come_out_between_their_own_share_and_everybodys() -> None:
    # Full Bayes with BDA3's hyperprior gives .210857, plug-in .207499; this hyperprior differs a little.
    pairs = [*HISTORICAL, CURRENT]
    wide = HyperPrior(weight=0.5, log_size_sd=1.5)
    chances = cure_chances(followed([y for y, _ in pairs], [n for _, n in pairs]), wide)
    assert chances.mean[-1] == pytest.approx(0.2109, abs=0.003)


def slow_mean_and_below(failed: Floats, free: Floats, shown: Floats, update: int, x: float) -> list[float]:
    """The same belief by adaptive quadrature over a finer grid of (a, b), with beta densities."""
    z = np.linspace(-4, 4, 25)
    means = (np.arange(60) + 0.5) / 60
    weights, parts = [], []

    grid = np.linspace(0, 1, 1001)[1:-1]
    seen_free = (1 - np.outer(shown, 1 - grid))[None, :, :] ** free[:, :, None]
    like = (1 - grid) ** failed[:, None] * seen_free.prod(axis=1)
    for m in means:
        for s in z:
            size = 8 * np.exp(s)
            density = stats.beta.pdf(grid, m * size, (1 - m) * size)
            marginals = like @ density
            weights.append(stats.beta.pdf(m, 2, 2) * stats.norm.pdf(s) * np.prod(marginals))
            own = like[update] * density / marginals[update]
            parts.append([own @ grid, own @ (grid < x)])
    return list(np.average(parts, axis=0, weights=weights))


def test_the_grid_agrees_with_a_slow_direct_integration_with_vehicles_still_in_the_window() -> None:
    failed = np.array([1.0, 4.0, 2.0])
    free = np.array([[2.0, 3.0, 5.0], [1.0, 0.0, 3.0], [0.0, 4.0, 9.0]])
    shown = np.array([0.4, 0.8, 1.0])
    chances = cure_chances(Vehicles(failed, free, shown))
    for update in range(3):
        mean, below = slow_mean_and_below(failed, free, shown, update, 0.6)
        assert chances.mean[update] == pytest.approx(mean, abs=0.004)
        assert chances.below(np.full(3, 0.6))[update] == pytest.approx(below, abs=0.01)


def test_one_update_alone_is_the_settings_mixture_by_quadrature() -> None:
    # 3 of 4 cured; hyper grid of the code, each beta's posterior in closed form.
    grid = hyper_grid(HyperPrior())
    weight = grid.weight * np.exp(special.betaln(grid.a + 3, grid.b + 1) - special.betaln(grid.a, grid.b))
    mean = np.average((grid.a + 3) / (grid.a + grid.b + 4), weights=weight)
    mixture = np.average(stats.beta.cdf(0.5, grid.a + 3, grid.b + 1), weights=weight)
    chances = cure_chances(followed([3], [4]))
    assert chances.mean[0] == pytest.approx(mean, abs=5e-4)
    assert chances.below(np.array([0.5]))[0] == pytest.approx(mixture, abs=2e-3)


def test_the_setting_is_the_guess_of_five_in_ten_at_weight_four() -> None:
    # Design, section 5: a guess of k of 10 at weight w is Beta(w(k+1/2)/11, w(10 1/2-k)/11): here Beta(2, 2).
    grid = hyper_grid(HyperPrior())
    m = grid.a / (grid.a + grid.b)
    assert grid.weight @ m == pytest.approx(0.5)
    assert grid.weight @ (m - 0.5) ** 2 == pytest.approx(stats.beta.var(2, 2), abs=1e-3)
    assert grid.weight @ np.log(grid.a + grid.b) == pytest.approx(np.log(8))


def test_the_start_far_from_a_low_guess_is_small_and_not_rounding() -> None:
    # .875 of 10 at weight 8 is Beta(1, 7), of which (1/60)^7 lies above 59/60, the last cell of the mean.
    grid = hyper_grid(HyperPrior(0.875, 8))
    last = grid.a / (grid.a + grid.b) > 59 / 60
    assert grid.weight[last].sum() == pytest.approx((1 / 60) ** 7, rel=1e-9)
    assert hyper_grid(HyperPrior(1, 40)).weight.min() > 0


def test_three_of_three_does_not_outrank_eighteen_of_twenty() -> None:
    # check value 2.15: raw rates rank 3/3 first, shrunken ones and lower ends 18/20.
    chances = cure_chances(followed([3, 18, 40], [3, 20, 50]))
    assert np.argmax(chances.mean) == 1
    assert np.argmax(chances.interval(0.9)[0]) == 1


def test_vehicles_in_the_window_count_less_than_followed_ones_and_none_at_all_says_nothing() -> None:
    shown = np.array([0.0, 0.5, 1.0])
    free = np.diag([10.0, 10.0, 10.0])
    mean = cure_chances(Vehicles(np.zeros(3), free, shown)).mean
    assert mean[0] < mean[1] < mean[2]


def test_the_shops_other_updates_are_learned_from_even_where_a_row_shows_only_part() -> None:
    shop = followed([9, 90], [10, 100])
    part = followed([1, 0], [1, 0])
    chances = believe(what_others_say(shop), part)
    alone = cure_chances(part)
    assert chances.mean[0] > alone.mean[0]


def test_day_counts_give_the_same_as_their_vehicles() -> None:
    counts = stacked([counts_of([0, 9, 90, 90, 20], [True, True, False, False, False], 90)] * 2)
    # Failures show evenly over 91 days; of those not seen since day 20 of 90, 8 in 10 told unasked.
    vehicles = vehicles_of(long_silent(counts), even_silence(90), 0.8)
    assert vehicles.failed.tolist() == [2, 2]
    assert vehicles.free.sum() == 6
    assert vehicles.shown[[20, 90]] == pytest.approx([21 / 91 + 0.8 * 70 / 91, 1])


@settings(max_examples=40)
@given(
    st.lists(st.tuples(st.integers(0, 3000), st.integers(0, 3000), st.integers(0, 9)), min_size=1, max_size=6)
)
def test_beliefs_are_never_empty_never_a_point_and_between_their_ends(
    rows: list[tuple[int, int, int]],
) -> None:
    failed, cured, waiting = np.array(rows, dtype=float).T
    chances = cure_chances(Vehicles(failed, np.column_stack([waiting, cured]), np.array([0.3, 1.0])))
    low, high = chances.interval(0.9)
    assert np.all(np.isfinite(chances.mass))
    assert np.all((low > 0) & (low < chances.mean) & (chances.mean < high) & (high < 1))


def test_a_shop_of_extremes_still_gives_beliefs() -> None:
    chances = cure_chances(followed([100_000, 0, 0.5], [100_000, 100_000, 0.75]))
    assert chances.mean[:2] == pytest.approx([1, 0], abs=0.001)
    assert np.isfinite(chances.mean[2])


def test_counts_that_do_not_fit_are_refused() -> None:
    for failed, free in (([-1.0], [[1.0]]), ([1.0, 2.0], [[1.0]]), ([float("nan")], [[1.0]])):
        with pytest.raises(BadInput):
            Vehicles(np.array(failed), np.array(free), FOLLOWED)
    with pytest.raises(BadInput):
        HyperPrior(of_ten=11)


def test_intervals_cover_as_they_say_when_updates_are_as_the_setting_has_them() -> None:
    # Calibration by construction: truths drawn from the setting, 60 seeded shops of 12 updates.
    rng, grid, inside = np.random.default_rng(11), hyper_grid(HyperPrior()), 0
    for _ in range(60):
        i = rng.choice(grid.a.size, p=grid.weight)
        truth = rng.beta(grid.a[i], grid.b[i], 12)
        tried = rng.integers(1, 30, 12)
        low, high = cure_chances(followed(rng.binomial(tried, truth).tolist(), tried.tolist())).interval(0.9)
        inside += int(np.sum((low <= truth) & (truth <= high)))
    assert 0.87 <= inside / 720 <= 0.93


def test_integrate_is_the_reference_for_a_single_beta() -> None:
    # The in-window likelihood, one (a, b) fixed by a sharp setting: scipy.integrate.quad as the twin.
    def target(p: float) -> float:
        return float(stats.beta.pdf(p, 4, 4) * (1 - p) ** 2 * (1 - 0.5 * (1 - p)) ** 3 * p**4)

    whole = integrate.quad(target, 0, 1)[0]
    mean = integrate.quad(lambda p: p * target(p), 0, 1)[0] / whole
    sharp = HyperPrior(weight=4000, size=8, log_size_sd=1e-6)
    chances = cure_chances(Vehicles(np.array([2.0]), np.array([[3.0, 4.0]]), np.array([0.5, 1.0])), sharp)
    assert chances.mean[0] == pytest.approx(mean, abs=2e-3)


def test_pooling_groups_adds_their_vehicles() -> None:
    both = stacked([counts_of([1, 5], [True, False], 9), counts_of([9], [False], 9)])
    pooled: DayCounts = both.pooled()
    assert (pooled.failed.sum(), pooled.free.sum()) == (1, 2)
