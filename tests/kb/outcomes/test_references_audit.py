"""The audit of frozen chances and the money saved, of random concerns against loops over single answers."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from scipy import stats

from kb.outcomes.advice_audit import audit, calibration_p
from kb.outcomes.money.paired_saving import saved

Answer = tuple[float, float, float]
"""The chance given, what came (0 or 1), and the weight."""


def some_answers(rng: np.random.Generator, *, weighted: bool) -> list[Answer]:
    n = int(rng.integers(2, 60))
    chances = rng.random(n) if rng.random() < 0.5 else rng.integers(0, 11, n) / 10
    came = rng.random(n) < (chances if rng.random() < 0.8 else rng.choice([0.0, 1.0]))
    weights = rng.choice([0.5, 1.0, 1.7, 4.0], n) if weighted else np.ones(n)
    return list(zip(chances.tolist(), came.astype(float).tolist(), weights.tolist(), strict=True))


def columns(answers: list[Answer]) -> tuple[list[float], list[float], list[float]]:
    chances, came, weights = (list(column) for column in zip(*answers, strict=True))
    return chances, came, weights


def slow_brier(answers: list[Answer], always: float | None = None) -> float:
    """Brier (1950), Mon. Weather Rev. 78:1-3, halved; of one chance for all if `always` is given."""
    total = heads = 0.0
    for chance, came, weight in answers:
        said = chance if always is None else always
        total += weight * (said - came) ** 2
        heads += weight
    return total / heads


@pytest.mark.parametrize("weighted", [False, True])
def test_skill_is_one_less_the_ratio_of_two_slow_brier_scores(*, weighted: bool) -> None:
    # Skill score: Murphy (1973), J. Appl. Meteor. 12:595-600; against chance 1, chance 0 and the base rate.
    rng, perfect = np.random.default_rng(30), 0
    for _ in range(100):
        answers = some_answers(rng, weighted=weighted)
        chances, came, weights = columns(answers)
        skill = audit(chances, came, weights=weights).skill
        base = sum(w * y for _, y, w in answers) / sum(weights)
        scores = (skill.against_reflash_first, skill.against_diagnose_first, skill.against_base_rate)
        for found, simple in zip(scores, (1.0, 0.0, base), strict=True):
            other = slow_brier(answers, simple)
            if other < 1e-12:
                perfect += 1
                assert found is None
            else:
                assert found == pytest.approx(1.0 - slow_brier(answers) / other, abs=1e-9)
    assert perfect > 0


@pytest.mark.parametrize("weighted", [False, True])
def test_the_calibration_test_is_spiegelhalters_z_summed_answer_by_answer(*, weighted: bool) -> None:
    # Spiegelhalter (1986), Stat. Med. 5:421-433. Each weight multiplies its term, its square the variance.
    rng = np.random.default_rng(31)
    for _ in range(100):
        answers = some_answers(rng, weighted=weighted)
        gap = variance = 0.0
        for chance, came, weight in answers:
            gap += weight * (came - chance) * (1.0 - 2.0 * chance)
            variance += weight**2 * (1.0 - 2.0 * chance) ** 2 * chance * (1.0 - chance)
        chances, came_all, weights = (np.array(column) for column in columns(answers))
        found = calibration_p(chances, came_all, weights if weighted else None)
        if variance < 1e-15:
            assert found is None
        else:
            assert found == pytest.approx(math.erfc(abs(gap) / math.sqrt(2.0 * variance)), abs=1e-9)


def test_right_chances_fail_the_calibration_test_as_seldom_as_its_p_value_says() -> None:
    # 2,000 sets of 200 right chances with unequal weights: below .1 in .1 of them, four standard errors .027.
    rng = np.random.default_rng(32)
    chances, weights = rng.random((2000, 200)), rng.choice([0.5, 1.0, 4.0], (2000, 200))
    came = (rng.random(chances.shape) < chances).astype(float)
    found = [calibration_p(*each) for each in zip(chances, came, weights, strict=True)]
    assert np.mean([p is not None and p < 0.1 for p in found]) == pytest.approx(0.1, abs=0.027)


@pytest.mark.parametrize("level", [0.5, 0.9, 0.999])
@pytest.mark.parametrize("weighted", [False, True])
def test_reliability_is_a_loop_over_five_bins_with_exact_intervals(level: float, *, weighted: bool) -> None:
    # Clopper & Pearson (1934), Biometrika 26:404-413, at Kish's (1965) effective number (sum w)^2 / sum w^2.
    rng = np.random.default_rng(33)
    for _ in range(60):
        answers = some_answers(rng, weighted=weighted)
        chances, came, weights = columns(answers)
        bins = list(audit(chances, came, level, weights).bins)
        for low_tenth in range(0, 10, 2):
            last = low_tenth == 8
            inside = [
                each
                for each in answers
                if low_tenth / 10 <= each[0] and (each[0] < (low_tenth + 2) / 10 or last)
            ]
            if not inside:
                continue
            found = bins.pop(0)
            heads = sum(w for *_, w in inside)
            share = sum(w * y for _, y, w in inside) / heads
            n = heads**2 / sum(w**2 for *_, w in inside)
            assert (found.low, found.high) == pytest.approx((low_tenth / 10, (low_tenth + 2) / 10))
            assert found.n == len(inside)
            assert found.mean_chance == pytest.approx(sum(w * p for p, _, w in inside) / heads)
            assert found.share_cured == pytest.approx(share)
            x, tail = share * n, (1.0 - level) / 2.0
            low = stats.beta.ppf(tail, x, n - x + 1.0) if share > 1e-12 else 0.0
            high = stats.beta.ppf(1.0 - tail, x + 1.0, n - x) if share < 1 - 1e-12 else 1.0
            assert found.interval == pytest.approx((low, high), abs=1e-6)
        assert bins == []


@pytest.mark.parametrize("level", [0.5, 0.9])
def test_money_saved_has_the_interval_of_concerns_drawn_again_in_pairs(level: float) -> None:
    # Efron & Tibshirani (1993), An Introduction to the Bootstrap, ch. 13: percentile, concern by concern.
    # 2,000 draws there and 3,000 here: the two .05 quantiles differ by a standard error of about .06 of the
    # sum's deviation (sqrt(q(1-q)/n)/density); four of them are .25.
    chooser = random.Random(34)
    tail = (1.0 - level) / 2.0
    for n in (5, 30, 84):
        habit = [chooser.uniform(100, 900) for _ in range(n)]
        advice = [cost - chooser.gauss(30, 80) for cost in habit]
        found = saved(habit, advice, level)
        sums = []
        for _ in range(3000):
            drawn = chooser.choices(range(n), k=n)
            sums.append(sum(habit[i] for i in drawn) - sum(advice[i] for i in drawn))
        sums.sort()
        ends = (sums[int(tail * 3000)], sums[int((1.0 - tail) * 3000) - 1])
        gains = [h - a for h, a in zip(habit, advice, strict=True)]
        deviation = float(np.std(gains)) * math.sqrt(n)
        assert found.concerns == n
        assert found.saved == pytest.approx(sum(habit) - sum(advice))
        assert found.interval == pytest.approx(ends, abs=0.25 * deviation)
        assert found.interval[0] < found.saved < found.interval[1]
