"""Whose start an update's chance rests on, as the evidence says it."""

from __future__ import annotations

from kb.advice.advise import advise
from kb.advice.learn import learn
from kb.nouns.advice import AdviceSettings, Evidence, Guess
from tests.kb.advice.makers import candidate, in_hand, past

ANSWERED = AdviceSettings(draws=2, starting=Guess(3, 8, "the owner's answer"))


def start_of(update: int, closed: int, settings: AdviceSettings = ANSWERED) -> Evidence:
    """The start's evidence, in a shop that closed so many concerns of update 1 and cured every third."""
    concerns = [past(number, 1 if number % 3 == 0 else None) for number in range(closed)]
    said = advise(in_hand((candidate(update),)), learn(concerns, (), settings), settings)
    return next(one for one in said.candidates[0].evidence if one.key == "start")


def test_the_owners_answer_is_named_until_the_shops_counts_outweigh_it() -> None:
    words = "starts at 3 in 10: the owner's answer; weight 8"
    new, known, last = start_of(2, 0), start_of(1, 4), start_of(1, 8)
    assert (new.is_guess, new.guess) == (True, words)
    assert [(one.is_guess, one.remark) for one in (known, last)] == [(False, words)] * 2
    assert start_of(1, 9).remark == ""
    of_another = start_of(2, 9)
    assert (of_another.is_guess, of_another.guess) == (
        True,
        "as the shop's updates in general: 3 cured, 6 not",
    )


def test_a_shop_that_was_not_sure_is_told_the_settings() -> None:
    unsure = AdviceSettings(draws=2)
    assert start_of(1, 4, unsure).remark == ""
    assert start_of(2, 0, unsure).guess == "5 of 10; weight 4, by the shop's settings"
