"""How much being reflashed says by itself, against a direct maximum and against drawn shops."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize
from scipy.special import expit, logit

from kb.advice.chances.reflashed_anyway import Considered, reflashed_anyway, told_by


def log_likelihood(cures: float, anyway: float, seen: Considered) -> float:
    """Every concern written out, with the pseudo-count on either side of both chances."""
    told = [cures] * int(seen.cured) + [(1 - cures) * anyway] * int(seen.failed)
    told += [(1 - cures) * (1 - anyway)] * int(seen.other)
    told += [cures + (1 - cures) * anyway * (1 - v) for v in seen.shown]
    told += [cures, 1 - cures, anyway, 1 - anyway]
    return float(np.log(told).sum())


@pytest.mark.parametrize(
    "seen",
    [
        Considered(14, 9, 21, (0.0,) * 12 + (0.4,) * 5),
        Considered(0, 0, 0, (0.0, 0.0)),
        Considered(30, 20, 2, ()),
        Considered(2, 1, 40, (0.1, 0.9, 0.5)),
    ],
)
def test_it_is_the_most_likely_value_found_by_a_general_optimizer(seen: Considered) -> None:
    def loss(at: np.ndarray) -> float:
        return -log_likelihood(float(expit(at[0])), float(expit(at[1])), seen)

    best = min(
        (minimize(loss, [logit(0.5), start], tol=1e-12) for start in (-2.0, 0.0, 2.0)), key=lambda r: r.fun
    )
    assert reflashed_anyway(seen) == pytest.approx(float(expit(best.x[1])), abs=2e-3)


def test_silent_cures_no_longer_make_an_update_look_worse_than_it_is() -> None:
    """4,000 drawn concerns: 6 of 10 curable, 3 of 10 others reflashed too; 4 of 10 fall silent at once."""
    random = np.random.default_rng(20261125)
    cures = random.random(4000) < 0.6
    reflashed = cures | (random.random(4000) < 0.3)
    silent = reflashed & (random.random(4000) < 0.4)
    seen = Considered(
        float((cures & ~silent).sum()),
        float((reflashed & ~cures & ~silent).sum()),
        float((~reflashed).sum()),
        (0.0,) * int(silent.sum()),
    )
    anyway = reflashed_anyway(seen)
    assert anyway == pytest.approx(0.3, abs=0.03)
    chances = np.linspace(0.01, 0.99, 981)
    not_cured = seen.failed + seen.other

    def most_likely(v: float) -> float:
        told = seen.cured * np.log(chances) + not_cured * np.log1p(-chances)
        return float(chances[np.argmax(told + len(seen.shown) * np.log(1 - (1 - chances) * v))])

    assert most_likely(0.0) < 0.52
    assert most_likely(told_by(0.0, anyway)) == pytest.approx(0.6, abs=0.02)


@given(st.floats(0, 1), st.floats(0, 1))
def test_what_it_tells_lies_between_its_days_and_a_cure(shown: float, anyway: float) -> None:
    assert shown - 1e-12 <= told_by(shown, anyway) <= 1
    assert told_by(shown, 1.0) == pytest.approx(shown)
