"""Rates, intervals and shrunken chances of random shops against loops over single vehicles."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import timedelta
from functools import lru_cache

import numpy as np
import pytest
from scipy import special, stats

from kb.nouns.concerns import RoadTest
from kb.nouns.outcomes import Reflashed
from kb.outcomes.alarms.funnel import funnel
from kb.outcomes.comparison import compare
from kb.outcomes.cure_rates import both_readings, cure_rates
from kb.outcomes.interval import band, beta_product
from kb.outcomes.shrinkage import CureChances, cure_chances, vehicles_of
from kb.outcomes.story import Story
from kb.outcomes.survival import kaplan_meier
from kb.outcomes.tally import DayCounts, Floats, tally, updates_of
from tests.kb.outcomes.made import (
    RULE,
    TODAY,
    all_seen,
    came_back,
    counts_of,
    even_silence,
    fine,
    long_silent,
    stacked,
)

LEVELS = (0.5, 0.8, 0.9, 0.95, 0.999)
Vehicle = tuple[int, bool]
"""The day of the failure (True) or of the last sighting (False)."""


def some_vehicles(rng: np.random.Generator, window: int, most: int = 40) -> list[Vehicle]:
    n = int(rng.integers(1, most))
    failing = rng.random(n) < rng.choice([0, 0.1, 0.4, 0.8, 1])
    return list(zip(rng.integers(0, window + window // 2 + 2, n).tolist(), failing.tolist(), strict=True))


def counted(vehicles: Sequence[Vehicle], window: int) -> DayCounts:
    return counts_of([day for day, _ in vehicles], [failed for _, failed in vehicles], window)


def slow_rate(vehicles: Sequence[Vehicle], window: int) -> float:
    """Kaplan & Meier (1958), JASA 53:457-481: the product over the days, counting heads on each."""
    rate = 1.0
    for day in range(window + 1):
        at_risk = sum(until >= day for until, _ in vehicles)
        failing = sum(until == day and failed for until, failed in vehicles)
        rate *= 1.0 - failing / at_risk if at_risk else 1.0
    return rate


def slow_interval(vehicles: Sequence[Vehicle], window: int, level: float) -> tuple[float, float]:
    """Fay, Brittain & Proschan (2013), Biostatistics 14:723-736: E and E2 of the product, one beta a day."""
    mean = square = 1.0
    for day in range(window + 1):
        n = sum(until >= day for until, _ in vehicles)
        d = sum(until == day and failed for until, failed in vehicles)
        if d:
            a, b = n - d + 1, d
            mean *= a / (a + b)
            square *= a * (a + 1) / ((a + b) * (a + b + 1))
    tail, nobody_failed = (1.0 - level) / 2.0, mean == 1.0
    followed = sum(until > window or (until == window and not failed) for until, failed in vehicles)
    upper = 1.0 if nobody_failed else matched_quantile(mean, square, 1.0 - tail)
    if not followed:
        return 0.0, upper
    mean *= followed / (followed + 1)
    square *= followed / (followed + 2)
    return matched_quantile(mean, square, tail), upper


def matched_quantile(mean: float, square: float, q: float) -> float:
    size = mean * (1.0 - mean) / (square - mean * mean) - 1.0
    return float(stats.beta.ppf(q, mean * size, (1.0 - mean) * size))


@pytest.mark.parametrize("window", [1, 2, 5, 30, 90])
def test_the_interval_of_any_shop_with_early_leavers_is_the_loop_over_its_days(window: int) -> None:
    rng = np.random.default_rng(window)
    for level in LEVELS * 8:
        vehicles = some_vehicles(rng, window)
        found = [float(end) for end in beta_product(counted(vehicles, window), level)]
        assert found == pytest.approx(slow_interval(vehicles, window, level), abs=1e-7)


def test_the_band_is_the_loop_on_every_day() -> None:
    rng = np.random.default_rng(20)
    for level in LEVELS * 3:
        vehicles = some_vehicles(rng, 15)
        low, high = band(counted(vehicles, 15), level)
        slow = [slow_interval(vehicles, day, level) for day in range(16)]
        assert list(low) == pytest.approx([one for one, _ in slow], abs=1e-7)
        assert list(high) == pytest.approx([other for _, other in slow], abs=1e-7)


def test_without_early_leavers_the_ends_are_quantiles_of_one_beta() -> None:
    # Clopper & Pearson (1934), Biometrika 26:404-413, as scipy.stats.beta has them; failures on any days.
    rng = np.random.default_rng(21)
    for level in LEVELS * 12:
        cured, failed = (int(x) for x in rng.integers(0, 25, 2))
        window, n = int(rng.choice([1, 30, 90])), cured + failed
        gone = [(int(day), True) for day in rng.integers(0, window + 1, failed)]
        tail = (1.0 - level) / 2.0
        low = stats.beta.ppf(tail, cured, failed + 1) if cured else 0.0
        high = stats.beta.ppf(1.0 - tail, cured + 1, failed) if failed else 1.0
        if n:
            ends = beta_product(counted([*gone, *[(window, False)] * cured], window), level)
            assert [float(end) for end in ends] == pytest.approx([low, high], abs=1e-9)


def test_a_difference_adds_the_squared_distances_of_both_single_intervals() -> None:
    # Newcombe (1998), Stat. Med. 17:873-890, method 10; Zou & Donner (2008), Stat. Med. 27:1693-1702.
    rng = np.random.default_rng(22)
    for level in LEVELS * 15:
        window = int(rng.choice([1, 5, 30]))
        one, two = some_vehicles(rng, window), some_vehicles(rng, window)
        (l1, u1), (l2, u2) = (slow_interval(each, window, level) for each in (one, two))
        p1, p2 = slow_rate(one, window), slow_rate(two, window)
        found = compare(counted(one, window), counted(two, window), level)
        low = p1 - p2 - math.sqrt((p1 - l1) ** 2 + (u2 - p2) ** 2)
        high = p1 - p2 + math.sqrt((u1 - p1) ** 2 + (p2 - l2) ** 2)
        assert found.difference == pytest.approx(p1 - p2, abs=1e-9)
        assert found.interval == pytest.approx((max(low, -1.0), min(high, 1.0)), abs=1e-6)


def test_rates_as_known_and_if_silence_is_fine_are_loops_over_the_facts() -> None:
    rng = np.random.default_rng(23)
    for _ in range(30):
        facts: list[Story] = []
        known: dict[int, list[Vehicle]] = {}
        silent: dict[int, list[Vehicle]] = {}
        for _ in range(int(rng.integers(1, 40))):
            update, age = int(rng.integers(1, 4)), int(rng.integers(0, 250))
            kind = rng.choice(["comeback", "seen", "not asked", "other work"])
            heard = int(rng.integers(0, age + 1))
            start = TODAY - timedelta(age)
            told = came_back(heard) if kind == "comeback" else fine(heard)
            shifted = type(told)(told.result, start + timedelta(heard))
            follow_ups = () if kind == "not asked" else (shifted,)
            extra = kind == "other work"
            one = Reflashed(update, start, RoadTest.GONE, other_work=extra)
            facts.append(Story(one, follow_ups))
            if not extra:
                back = kind == "comeback"
                last = heard if follow_ups else 0
                known.setdefault(update, []).append((last, back))
                # A comeback after the window was free of the concern until then.
                silent.setdefault(update, []).append((heard, True) if back else (age, False))
        counts = tally(all_seen(facts, RULE, TODAY), RULE.days)
        updates = updates_of(counts)
        rates = cure_rates(*both_readings(counts, updates), 0.9)
        for i, update in enumerate(updates.tolist()):
            mine = known.get(update, [])
            assert rates.in_rate[i] == len(mine)
            assert rates.cure_rate[i] == pytest.approx(slow_rate(mine, RULE.days), abs=1e-12)
            fine_rate = slow_rate(silent.get(update, []), RULE.days)
            assert rates.rate_if_silence_is_fine[i] == pytest.approx(fine_rate, abs=1e-12)


MEANS, SIZES, CHANCES = 200, 60, 600


def small_shops() -> list[DayCounts]:
    """Three invented shops of two or three updates: many, few and no early leavers."""
    rng, shops = np.random.default_rng(24), []
    for updates, leaving in ((3, 0.5), (2, 0.2), (3, 0.0)):
        groups = []
        for _ in range(updates):
            n = int(rng.integers(1, 25))
            failing = rng.random(n) < rng.uniform(0.1, 0.6)
            early = failing | (rng.random(n) < leaving)
            days = np.where(early, rng.integers(0, 31, n), 30)
            groups.append(counts_of(days.tolist(), failing.tolist(), 30))
        shops.append(stacked(groups))
    return shops


def slow_likelihood(shop: DayCounts, chance: Floats) -> list[Floats]:
    """Design, section 6: theta^d * prod(1 - theta v), v the share of failures that show by the day last seen,
    here even over the 31 days.
    """
    shown = [(day + 1) / 31 for day in range(31)]
    found = []
    for own_failed, own_free in zip(shop.failed, shop.free, strict=True):
        value = (1.0 - chance) ** own_failed.sum()
        for v, n in zip(shown, own_free, strict=True):
            value = value * (1.0 - (1.0 - chance) * v) ** n
        found.append(value)
    return found


@lru_cache(maxsize=1)
def slow_posteriors() -> tuple[Floats, list[list[Floats]]]:
    """Edges of the chance, and each update's mass: a loop over 12,000 points of (mean, size).

    Hierarchical beta-binomial summed over (a, b): Gelman et al., Bayesian Data Analysis, 3rd ed., 5.3. The
    points have equal prior mass, by quantiles: mean ~ Beta(2, 2), ln size ~ N(ln 8, 1) (design, section 5).
    """
    edges = (1.0 - np.cos(np.linspace(0.0, np.pi, CHANCES + 1))) / 2.0
    chance = (edges[:-1] + edges[1:]) / 2.0
    shops = [np.array(slow_likelihood(shop, chance)) for shop in small_shops()]
    masses = [np.zeros_like(likelihood) for likelihood in shops]
    for mean in stats.beta.ppf((np.arange(MEANS) + 0.5) / MEANS, 2.0, 2.0):
        for size in 8.0 * np.exp(stats.norm.ppf((np.arange(SIZES) + 0.5) / SIZES)):
            prior = np.diff(special.betainc(mean * size, (1.0 - mean) * size, edges))
            for likelihood, mass in zip(shops, masses, strict=True):
                marginal = likelihood @ prior
                others = marginal.prod() / marginal
                mass += others[:, None] * prior * likelihood
    return edges, [[row / row.sum() for row in mass] for mass in masses]


def fast_posteriors() -> list[CureChances]:
    even = even_silence(30)
    return [cure_chances(vehicles_of(long_silent(shop), even, 0.0)) for shop in small_shops()]


def test_shrunken_rate_and_interval_are_those_of_a_grid_of_12_000_points() -> None:
    # Measured: means within .00005, ends within .0003; the two grids have different cells.
    edges, slow = slow_posteriors()
    middle = (edges[:-1] + edges[1:]) / 2.0
    for chances, masses in zip(fast_posteriors(), slow, strict=True):
        for level in (0.5, 0.9, 0.99):
            low, high = chances.interval(level)
            for i, mass in enumerate(masses):
                total = np.concatenate([[0.0], np.cumsum(mass)])
                ends = np.interp([(1.0 - level) / 2.0, (1.0 + level) / 2.0], total, edges)
                assert chances.mean[i] == pytest.approx(mass @ middle, abs=0.0002)
                assert (low[i], high[i]) == pytest.approx(tuple(ends), abs=0.001)


def test_the_probability_below_any_chance_is_the_sum_of_that_grid_s_cells() -> None:
    edges, slow = slow_posteriors()
    for chances, masses in zip(fast_posteriors(), slow, strict=True):
        for x in np.linspace(0.05, 0.95, 19):
            found = chances.below(np.full(len(masses), x))
            for i, mass in enumerate(masses):
                total = np.concatenate([[0.0], np.cumsum(mass)])
                assert found[i] == pytest.approx(np.interp(x, edges, total), abs=0.001)


def test_the_funnel_flags_by_the_exact_sum() -> None:
    rng, flags = np.random.default_rng(25), 0
    for _ in range(200):
        n, target, rate = int(rng.integers(0, 40)), float(rng.uniform(0.05, 0.95)), float(rng.random())
        found = funnel(target, np.array([n]), np.array([rate]))
        chance = [float(stats.binom.pmf(k, n, target)) for k in range(n + 1)]
        cured = round(rate * n)
        outside = n > 0 and min(sum(chance[: cured + 1]), sum(chance[cured:])) < 0.001
        assert bool((found.seldom | found.often)[0]) == outside
        flags += outside
    assert flags > 20


@pytest.mark.parametrize("of_100", [12, 20, 50, 70, 85, 95])
def test_a_point_lies_outside_the_drawn_limits_exactly_where_it_is_flagged(of_100: int) -> None:
    cured, n = np.array([(cured, n) for n in range(2, 60) for cured in range(n + 1)]).T
    found = funnel(of_100 / 100, n, cured / n)
    drawn_outside = (cured / n < found.lower - 1e-12) | (cured / n > found.upper + 1e-12)
    flagged = found.seldom | found.often
    assert drawn_outside.tolist() == flagged.tolist()
    assert flagged.any()


def test_the_loop_of_these_tests_is_the_product_limit_curve_of_scipy() -> None:
    rng = np.random.default_rng(26)
    for _ in range(40):
        vehicles = some_vehicles(rng, 30)
        inside = [(min(day, 30), failed and day <= 30) for day, failed in vehicles]
        data = stats.CensoredData.right_censored([d for d, _ in inside], [not e for _, e in inside])
        expected = float(stats.ecdf(data).sf.evaluate([30.0])[0])
        assert slow_rate(vehicles, 30) == pytest.approx(expected, abs=1e-12)
        assert float(kaplan_meier(counted(vehicles, 30)).at_window) == pytest.approx(expected, abs=1e-12)
