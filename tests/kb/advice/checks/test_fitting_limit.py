"""The suggested limit against scikit-learn's one-level tree by entropy, and against a slow twin."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import timedelta
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sklearn.tree import DecisionTreeClassifier

from kb.advice.checks.fitting_limit import FittingLimit, fitting_limit, limit_sentence, values_of
from kb.nouns.concerns import FindingResult
from kb.nouns.learning import PastFinding
from tests.kb.advice.makers import ANSWERED, OPENED, past

Values = Sequence[tuple[float, bool]]


def slow_best(values: Values) -> tuple[float, float]:
    """Every cut by counting, every probability by its logarithm: the highest likelihood, and its cut."""

    def log_likelihood(side: list[bool]) -> float:
        rate = sum(side) / len(side)
        return sum(math.log(rate if cured else 1 - rate) for cured in side)

    numbers = sorted({number for number, _cured in values})
    found = []
    for low, high in pairwise(numbers):
        cut = (low + high) / 2
        up_to, over = [c for n, c in values if n <= cut], [c for n, c in values if n > cut]
        fit = log_likelihood(up_to) + log_likelihood(over)
        found.append((round(fit, 8), -abs(len(up_to) - len(over)), -len(up_to), cut))
    best = max(found)
    return best[0], best[3]


def parted(at: float, seed: int, n: int = 60, wrong: float = 0.1) -> list[tuple[float, bool]]:
    """Values of 0 to 30 of which an update cured those up to `at`, a share of them wrong."""
    random = np.random.default_rng(seed)
    numbers = np.round(random.uniform(0, 30, n), 1)
    return [(float(x), bool((x <= at) != (random.random() < wrong))) for x in numbers]


@pytest.mark.parametrize("seed", range(8))
def test_the_cut_is_that_of_a_decision_tree_of_one_level(seed: int) -> None:
    values = parted(12.0, seed)
    found = fitting_limit(values)
    assert found is not None
    numbers, cured = np.array([[n] for n, _ in values]), np.array([c for _, c in values])
    tree = DecisionTreeClassifier(criterion="entropy", max_depth=1, random_state=0).fit(numbers, cured)
    assert found.limit == pytest.approx(tree.tree_.threshold[0])
    assert found.n == found.over + found.up_to == 60
    assert found.cured_over + found.cured_up_to == int(cured.sum())


@settings(max_examples=40)
@given(st.integers(0, 10_000), st.floats(3, 27), st.integers(20, 45))
def test_the_cut_is_the_slow_twins_also_with_ties(seed: int, at: float, n: int) -> None:
    values = [(float(round(number)), cured) for number, cured in parted(at, seed, n, wrong=0.05)]
    found = fitting_limit(values)
    if found is not None:
        assert found.limit == slow_best(values)[1]


def test_few_values_equal_values_and_noise_tell_nothing() -> None:
    assert fitting_limit(parted(12.0, 1, n=19, wrong=0)) is None
    assert fitting_limit([(5.0, i % 2 == 0) for i in range(40)]) is None
    told = sum(fitting_limit(parted(12.0, seed, wrong=0.5)) is not None for seed in range(100))
    assert told <= 12, "5 in 100 by chance; 12 or more of 100 come in 4 in 1,000 (binomial)"


def test_values_count_of_known_causes_in_the_checks_unit_recorded_before_the_answer() -> None:
    def measured(number: float, unit: str = "V", **more: object) -> PastFinding:
        said = {"recorded_at": OPENED, "result": FindingResult.INCONCLUSIVE} | more
        return PastFinding(
            "drop",
            attached_to=(1,),
            number=number,
            unit=unit,
            **said,  # type: ignore[arg-type]
        )

    later = {"recorded_at": OPENED + timedelta(minutes=5)}
    concerns = [
        past(1, 1, (measured(0.1), measured(0.2, **later))),
        past(2, None, (measured(0.9),)),
        past(3, None, (measured(900, "mV"),)),
        past(4, None, (measured(0.8, recorded_at=ANSWERED),)),
        past(5, None, (measured(0.7),), answer_known=False),
        past(6, None, (measured(0.6),), other_work=True),
        past(7, None, (measured(0.5),), updates=()),
    ]
    assert values_of(concerns, "drop", "V") == [(0.2, True), (0.9, False), (0.5, False)]


def test_the_sentence_calls_it_a_suggestion_and_says_on_how_many_it_rests() -> None:
    assert limit_sentence(None, 12, "V") == "Cannot tell yet: 12 values with a known cause, 20 are needed."
    assert limit_sentence(None, 30, "V").startswith("No limit parts the cured from the others")
    said = limit_sentence(FittingLimit(0.25, 24, 11, 1, 13, 9), 24, "V")
    assert said == (
        "The shop's own 24 values with a known cause part best at 0.25 V: over it an update cured 1 of 11, "
        "up to it 9 of 13. A suggestion from what was here, no specification: the manufacturer's limit rules."
    )
