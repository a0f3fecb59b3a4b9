"""Whose start an update's chance rests on, and how its terms add up, as the evidence says it."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.advice.advise import advise
from kb.advice.chances import starting_chance
from kb.advice.chances.belief import common_belief, counted_windows, starting_mean
from kb.advice.chances.learn import Learned, learn
from kb.advice.chances.still_a_guess import check_is_guess
from kb.nouns.advice import AdviceSettings, CandidateAdvice, Evidence, EvidenceCounts, Guess, InWindow
from tests.kb.advice.makers import candidate, check, in_hand, past

ANSWERED = AdviceSettings(draws=2, starting=Guess(3, 8, "the owner's answer"))


def learned_from(closed: int, silent: int = 0, how: AdviceSettings = ANSWERED) -> Learned:
    """So many closed concerns of update 1, of which every third was cured, and others not heard of."""
    concerns = [past(number, 1 if number % 3 == 0 else None) for number in range(closed)]
    waiting = replace(past(0, None), answer_known=False, answered_at=None, reflashed=(1,))
    waits = (InWindow(1, 0, 60),)
    concerns += [replace(waiting, concern_id=1000 + n, in_window=waits) for n in range(silent)]
    return learn(concerns, (), how)


def advised(update: int, learned: Learned, how: AdviceSettings = ANSWERED) -> CandidateAdvice:
    return advise(in_hand((candidate(update),)), learned, how).candidates[0]


def start_of(update: int, closed: int, how: AdviceSettings = ANSWERED) -> Evidence:
    said = advised(update, learned_from(closed, how=how), how)
    return next(one for one in said.evidence if one.key == "start")


def test_it_is_a_guess_until_the_updates_own_answers_outweigh_it() -> None:
    words = "starts at 3 in 10: the owner's answer; weight 8"
    told = [start_of(1, closed) for closed in (0, 4, 8, 9)]
    assert [one.is_guess for one in told] == [True, True, True, False]
    assert [one.guess for one in told[:3]] == [words] * 3
    of_another = start_of(2, 9)
    assert (of_another.is_guess, of_another.guess) == (
        True,
        "as the shop's updates in general: 3 cured, 6 not",
    )
    sentences = [advised(one, learned_from(9)).sentence for one in (1, 2)]
    assert ["still mostly guesses" in one for one in sentences] == [False, True]
    assert "these are guesses" in advised(1, learned_from(0)).sentence


def test_a_shop_that_was_not_sure_is_told_the_settings() -> None:
    unsure = AdviceSettings(draws=2)
    assert start_of(2, 0, unsure).guess == "5 of 10; weight 4, by the shop's settings"


def test_a_check_is_a_guess_until_its_counts_outweigh_both_of_its_guesses() -> None:
    """Both guesses of this check are worth 8 vehicles."""
    told = [
        check_is_guess(check("leak"), EvidenceCounts(cured=c, not_cured=n))
        for c, n in ((9, 9), (8, 9), (9, 8), (100, 0), (0, 0))
    ]
    assert told == [False, True, True, True, True]


@settings(max_examples=12)
@given(st.integers(0, 40), st.integers(0, 30))
def test_the_terms_of_a_start_add_up_to_it_and_all_pushes_to_the_chance(closed: int, silent: int) -> None:
    learned = learned_from(closed, silent)
    terms = starting_chance.terms(learned.starts, 1)
    said = advised(1, learned)
    [start] = [one for one in said.evidence if one.key == "start"]
    assert sum(terms.pushes) == pytest.approx(start.log_odds, abs=1e-9)
    assert 1 / (1 + math.exp(-start.log_odds)) == pytest.approx(said.starting)
    assert sum(one.log_odds for one in said.evidence) == pytest.approx(
        math.log(said.alone / (1 - said.alone)), abs=1e-9
    )
    assert (terms.cured, terms.not_cured) == (len(range(0, closed, 3)), closed - len(range(0, closed, 3)))
    assert (start.silent, terms.silent) == (silent, silent)
    assert (terms.pushes[2] > 0) == (silent > 0)
    shown = [int(one) for one in re.findall(r"(\d+) of 100", start.adds_up)]
    assert shown[-1] == round(100 * said.starting)


def test_what_updates_are_like_in_general_is_what_one_without_answers_starts_at() -> None:
    """Each term against the belief asked for itself: of a shop of one update, 2 of 6 cured and 3 silent."""
    records = {1: counted_windows(2, 4, (0.5, 0.5, 0.5))}
    start = starting_chance.start(records, {}, ANSWERED)
    found, common = starting_chance.terms([start], 1), common_belief(records.values(), ANSWERED)
    answers = counted_windows(2, 4, ())
    assert found.in_general == pytest.approx(starting_chance.mean([start], 99))
    assert found.by_answers == pytest.approx(starting_mean(common, answers))
    assert found.start == pytest.approx(starting_mean(common, records[1]))
