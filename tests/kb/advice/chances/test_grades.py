"""What the grade of a match is worth: counted on both sides, and nothing where all match alike."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.advice.chance_sentences import guess_of_grade
from kb.advice.chances.evidence import GRADES, GradeBelief, grade_belief
from kb.nouns.advice import AdviceSettings, PastCandidate, PastConcern
from kb.nouns.notes import Grade
from tests.kb.advice.makers import past

SETTINGS = AdviceSettings()
STRONG, PARTIAL, WEAK = GRADES
START = math.log(5.0 / 3.0)
"""Log ratio of a strong match by the settings: 5 of 10 cured, 3 of 10 not."""


def many(
    cured: Mapping[Grade, int] | None = None,
    failed: Mapping[Grade, int] | None = None,
    waiting: Mapping[Grade, int] | None = None,
) -> GradeBelief:
    """The belief after so many concerns of each kind."""
    told: list[PastConcern] = []
    for grades, cured_by, known in ((cured, 1, True), (failed, None, True), (waiting, None, False)):
        for grade, times in (grades or {}).items():
            graded = (PastCandidate(1, grade),)
            one = replace(past(1, cured_by, answer_known=known), candidates=graded)
            told += [one] * times
    return grade_belief(told, SETTINGS)


def test_nothing_met_leaves_the_settings_guess() -> None:
    assert many().log_ratio(STRONG) == pytest.approx(START)


def test_two_failures_that_matched_strongly_worked_by_hand() -> None:
    """Strong is usual in (10·.4 + 2)/12 = .5, partial .3125, weak .1875 of all. Cured, in the guess's
    proportion: .625, .29167, .125, together 1.04167, so strong .6. Not cured: .375, .33333, .25, together
    .95833, so 3.91304 of 10, and 5.91304 of 12 with the two counted.
    """
    belief = many(failed={STRONG: 2})
    assert belief.if_cured == pytest.approx((6.0, 2.8, 1.2))
    assert belief.if_not == pytest.approx((5.913043, 3.478261, 2.608696), abs=1e-6)
    assert belief.log_ratio(STRONG) == pytest.approx(math.log(0.6 / 0.492754), abs=1e-5)
    assert (belief.cured, belief.not_cured) == ((0, 0, 0), (2, 0, 0))


@given(failed=st.integers(0, 400), silent=st.integers(0, 400))
def test_a_young_shop_never_learns_that_a_strong_match_speaks_against(failed: int, silent: int) -> None:
    """All matched strongly and only failures are known yet: .5 for 1 would push the odds to a half."""
    assert -0.06 < many(failed={STRONG: failed}, waiting={STRONG: silent}).log_ratio(STRONG) <= START + 1e-9


@given(silent=st.dictionaries(st.sampled_from(GRADES), st.integers(0, 300)))
def test_silence_alone_moves_no_grade_past_another(silent: dict[Grade, int]) -> None:
    """Without an answer the order of the grades stays the guess's, strong for a cure before weak."""
    belief = many(waiting=silent)
    assert belief.log_ratio(STRONG) > belief.log_ratio(PARTIAL) > belief.log_ratio(WEAK)
    assert belief.cured == belief.not_cured == (0, 0, 0)


def test_many_answers_outweigh_the_guess_whatever_waits() -> None:
    """Shares .6 and .2 of strong: log 3, a shop's own whose guess says log 5/3."""
    belief = many(
        {STRONG: 1800, PARTIAL: 900, WEAK: 300}, {STRONG: 400, PARTIAL: 800, WEAK: 800}, {STRONG: 500}
    )
    assert belief.log_ratio(STRONG) == pytest.approx(math.log(3), abs=0.02)
    assert belief.log_ratio(WEAK) == pytest.approx(math.log(0.1 / 0.4), abs=0.02)


def test_matched_alike_on_both_sides_says_nothing() -> None:
    assert abs(many({STRONG: 30}, {STRONG: 12}).log_ratio(STRONG)) < 0.1


def test_a_moved_guess_is_said_to_be_one() -> None:
    """Usual: (4 + 40)/50 = .88, .075, .045. Cured 1.1 of 1.2, not cured .66 of .8 of that."""
    plain, moved = many(), many(waiting={STRONG: 40})
    assert guess_of_grade(SETTINGS, plain.before_answers, 0) == (
        "5 of 10 cured, 3 of 10 not; weight 10, by the shop's settings"
    )
    assert guess_of_grade(SETTINGS, moved.before_answers, 0) == (
        "9.17 of 10 cured, 8.25 of 10 not; weight 10, by the shop's settings, "
        "moved to how usual such a match is here"
    )
