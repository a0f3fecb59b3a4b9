"""The audit of frozen chances, and the money the advice saved."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from sklearn.calibration import calibration_curve
from sklearn.metrics import brier_score_loss
from sklearn.metrics import log_loss as sklearn_log_loss
from statsmodels.stats.proportion import proportion_confint

from kb.errors import BadInput
from kb.outcomes.advice_audit import audit, brier, calibration_p, log_loss, reliability
from kb.outcomes.money.paired_saving import saved

# The project's worked example 6.5: .1 four times (1 event), .5 four times (2), .9 twice (2).
CHANCES = np.array([0.1] * 4 + [0.5] * 4 + [0.9] * 2)
CAME = np.array([1, 0, 0, 0, 1, 1, 0, 0, 1, 1], dtype=float)

forecasts = st.lists(st.tuples(st.floats(0, 1), st.integers(0, 1)), min_size=2, max_size=60)


def test_brier_and_log_loss_of_the_scikit_learn_examples() -> None:
    # scikit-learn docstrings of brier_score_loss (.0375) and log_loss (.21616).
    assert brier(np.array([0.1, 0.9, 0.8, 0.3]), np.array([0.0, 1, 1, 0])) == pytest.approx(0.0375)
    spam = np.array([0.9, 0.1, 0.2, 0.65])
    assert log_loss(spam, np.array([1.0, 0, 0, 1])) == pytest.approx(0.21616, abs=5e-6)


@given(forecasts)
def test_scores_are_those_of_scikit_learn(pairs: list[tuple[float, int]]) -> None:
    p, y = np.array(pairs).T
    assert brier(p, y) == pytest.approx(brier_score_loss(y, p, pos_label=1), abs=1e-12)
    safe = np.clip(p, 1e-15, 1 - 1e-15)
    assert log_loss(p, y) == pytest.approx(sklearn_log_loss(y, safe, labels=[0, 1]), rel=1e-9, abs=1e-12)


@given(forecasts)
def test_bins_are_those_of_scikit_learn_with_exact_intervals(pairs: list[tuple[float, int]]) -> None:
    # Edges differ by which side a chance of exactly .2, .4 ... falls on; those are nudged off.
    p = np.array([0.999 * x + 0.0005 for x, _ in pairs])
    y = np.array([e for _, e in pairs], dtype=float)
    shares, means = calibration_curve(y, p, n_bins=5)
    bins = reliability(p, y)
    assert [b.share_cured for b in bins] == pytest.approx(shares)
    assert [b.mean_chance for b in bins] == pytest.approx(means)
    for b in bins:
        exact = proportion_confint(round(b.share_cured * b.n), b.n, alpha=0.1, method="beta")
        assert b.interval == pytest.approx(exact, abs=1e-9)


def test_brier_is_reliability_less_resolution_plus_uncertainty() -> None:
    # Murphy (1973), J. Appl. Meteor. 12:595-600: .011 - .075 + .25 = .186 on the worked example.
    bins, n = reliability(CHANCES, CAME), CAME.size
    rel = sum(b.n * (b.mean_chance - b.share_cured) ** 2 for b in bins) / n
    res = sum(b.n * (b.share_cured - CAME.mean()) ** 2 for b in bins) / n
    assert (rel, res) == pytest.approx((0.011, 0.075))
    assert brier(CHANCES, CAME) == pytest.approx(rel - res + 0.25)


def test_spiegelhalters_test_of_the_worked_example() -> None:
    # Spiegelhalter (1986), Stat. Med. 5:421-433; z = .544331 by two forms, check value 6.9.
    assert calibration_p(CHANCES, CAME) == pytest.approx(2 * stats.norm.sf(0.544331), abs=1e-6)
    assert calibration_p(np.array([0.5, 1.0]), np.array([0.0, 1.0])) is None


def test_skill_is_measured_against_both_habits_and_the_base_rate() -> None:
    # By hand: Brier .186; always 1 -> .5, always 0 -> .5, base rate .5 -> .25.
    skill = audit(CHANCES, CAME).skill
    assert skill.against_reflash_first == pytest.approx(1 - 0.186 / 0.5)
    assert skill.against_diagnose_first == pytest.approx(1 - 0.186 / 0.5)
    assert skill.against_base_rate == pytest.approx(1 - 0.186 / 0.25)
    assert audit([0.9, 0.8], [1, 1]).skill.against_reflash_first is None


@pytest.mark.parametrize(("n", "unsure"), [(0, True), (29, True), (30, False)])
def test_below_thirty_outcomes_it_cannot_tell_yet(n: int, unsure: bool) -> None:
    found = audit([0.5] * n, [1] * n)
    assert (found.n, found.cannot_tell_yet) == (n, unsure)


def test_what_is_no_forecast_is_refused() -> None:
    for chances, came in (([1.2], [1]), ([0.5], [0.5]), ([0.5, 0.5], [1]), ([float("nan")], [1])):
        with pytest.raises(BadInput):
            audit(chances, came)


def test_savings_are_the_paired_sum_with_scipys_bootstrap_interval() -> None:
    rng = np.random.default_rng(2)
    habit, advice = rng.gamma(2, 150, 84), rng.gamma(2, 120, 84)
    found = saved(habit, advice)
    assert (found.concerns, found.saved) == (84, pytest.approx(habit.sum() - advice.sum()))
    reference = stats.bootstrap(
        (habit - advice,), np.sum, confidence_level=0.9, n_resamples=20_000, method="percentile", rng=rng
    ).confidence_interval
    spread = reference.high - reference.low
    assert found.interval == pytest.approx((reference.low, reference.high), abs=0.06 * spread)
    assert saved(habit, advice) == found
    assert saved(habit, advice, seed=1) != found


@settings(max_examples=30)
@given(st.lists(st.tuples(st.floats(0, 1e4), st.floats(0, 1e4)), max_size=40))
def test_savings_of_any_concerns_lie_in_their_interval_s_reach(costs: list[tuple[float, float]]) -> None:
    habit, advice = [h for h, _ in costs], [a for _, a in costs]
    found = saved(habit, advice)
    assert found.interval[0] <= found.interval[1]
    gains = [h - a for h, a in costs]
    assert len(gains) * min(gains, default=0) - 1e-6 <= found.interval[0]


def test_costs_that_are_not_paired_or_not_numbers_are_refused() -> None:
    for habit, advice in (([1.0], [1.0, 2.0]), ([float("inf")], [1.0])):
        with pytest.raises(BadInput):
            saved(habit, advice)


@given(st.lists(st.tuples(st.floats(0.01, 0.99), st.booleans(), st.integers(1, 4)), min_size=1, max_size=30))
def test_a_weight_is_as_good_as_so_many_answers_alike(answers: list[tuple[float, bool, int]]) -> None:
    chances, cured, weights = (list(column) for column in zip(*answers, strict=True))
    once = audit(chances, np.array(cured, dtype=float), weights=weights)
    often = audit(np.repeat(chances, weights), np.repeat(np.array(cured, dtype=float), weights))
    assert once.brier == pytest.approx(often.brier)
    assert once.log_loss == pytest.approx(often.log_loss)
    assert [b.share_cured for b in once.bins] == pytest.approx([b.share_cured for b in often.bins])
    pairs = zip(once.bins, often.bins, strict=True)
    assert all(few.interval[0] <= many.share_cured <= few.interval[1] for few, many in pairs)
