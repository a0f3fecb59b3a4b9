"""One surprising outcome moves a chance by no more than the stated weights allow, through learn and advise.

The bounds follow from the beliefs as described (design values): the mean of a guess of weight w with n
concerns counted moves by at most 1 / (w + n + 1).
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm

from kb.advice.advise import advise
from kb.advice.chances.learn import Learned, learn
from kb.nouns.advice import Advice, AdviceSettings
from kb.nouns.concerns import FindingResult
from kb.nouns.learning import PastConcern
from kb.nouns.notes import Grade
from tests.kb.advice.makers import candidate, check, finding, in_hand, past

SETTINGS = AdviceSettings(draws=2)
WEIGHT = 8.0
CHECK = check("leak")
results = st.sampled_from([FindingResult.YES, FindingResult.NO])


@st.composite
def histories(draw: st.DrawFn) -> list[PastConcern]:
    """Up to 40 closed concerns of one update, with a finding each."""
    outcomes = draw(st.lists(st.tuples(st.booleans(), results), max_size=40))
    return [past(i, 1 if cured else None, (finding("leak", r),)) for i, (cured, r) in enumerate(outcomes)]


def advised(learned: Learned, grade: Grade = Grade.PARTIAL) -> Advice:
    return advise(in_hand((candidate(grade=grade),)), learned, SETTINGS)


def learned_of(concerns: list[PastConcern]) -> Learned:
    return learn(concerns, (CHECK,), SETTINGS)


@settings(max_examples=25)
@given(histories(), st.booleans(), results)
def test_a_check_moves_by_one_in_its_weight_and_counts(
    concerns: list[PastConcern], cured: bool, said: FindingResult
) -> None:
    before = learned_of(concerns).checks["leak"]
    one_more = past(99, 1 if cured else None, (finding("leak", said),))
    after = learned_of([*concerns, one_more]).checks["leak"]
    for old, new, touched in (
        (before.yes_if_cured, after.yes_if_cured, cured),
        (before.yes_if_not, after.yes_if_not, not cured),
    ):
        counted = old.alpha + old.beta - WEIGHT
        assert abs(counted - round(counted)) < 1e-9
        limit = 1.0 / (WEIGHT + counted + 1.0) if touched else 0.0
        assert abs(new.mean - old.mean) <= limit + 1e-12


def share_of_unlike() -> float:
    """E[1 / (a + b + 1)] for log(a + b) ~ N(log 8, 1), by quadrature (scipy.integrate.quad)."""

    def weighed(z: float) -> float:
        return float(norm.pdf(z)) / (8.0 * math.exp(z) + 1.0)

    return float(quad(weighed, -8, 8)[0])


def test_the_first_outcome_moves_the_start_by_the_guess_of_weight_four_and_the_spread_of_updates() -> None:
    """E[p^2] / E[p] with p ~ Beta(a, b), a / (a + b) ~ Beta(2, 2): 1/2 + 1/2 (1/5 + 4/5 E[1 / (a + b + 1)]).

    The grid that stands for the spread is coarse, hence 0.01.
    """
    [start] = [one.starting for one in advised(learned_of([past(1, 1)])).candidates]
    assert advised(learned_of([])).candidates[0].starting == pytest.approx(0.5, abs=0.01)
    assert start == pytest.approx(0.5 + 0.5 * (0.2 + 0.8 * share_of_unlike()), abs=0.01)


@settings(max_examples=20)
@given(st.integers(0, 30), st.sampled_from(list(Grade)))
def test_one_opposite_answer_moves_a_chance_by_no_more_than_each_part_may(before: int, grade: Grade) -> None:
    """In log odds, besides the start: a grade by one in weight 10 on one side; the shift of past advice, of
    prior sd .5, by at most .5 squared; its slope, of prior sd .3, by .3 squared times the push and its own.
    """
    cured = [past(i, 1) for i in range(before)]
    old, new = (learned_of(some) for some in (cured, [*cured, past(99, None)]))
    of_grade = max(math.log((g + 1) / 11 * 10 / g) for g in (5.0, 3.5, 1.5, 3.0, 4.0))
    push = max(abs(one.grades.log_ratio(grade)) for one in (old, new))
    rest = abs(without_start(new, grade) - without_start(old, grade))
    assert rest <= of_grade * max(old.tempering.b, new.tempering.b) + 0.25 + 0.09 * push * push + 1e-9
    assert advised(new, grade).candidates[0].chance < advised(old, grade).candidates[0].chance


def without_start(learned: Learned, grade: Grade) -> float:
    return sum(one.log_odds for one in advised(learned, grade).candidates[0].evidence if one.key != "start")
