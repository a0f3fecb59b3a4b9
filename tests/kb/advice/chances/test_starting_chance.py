"""The start of an update under every value of the share told unasked, against drawn shops."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kb.advice.chances import starting_chance
from kb.advice.chances.belief import UpdateRecord
from kb.advice.chances.learn import learn, update_records
from kb.nouns.advice import AdviceSettings, InWindow, PastConcern
from kb.outcomes.silence import Silence
from tests.kb.advice.makers import past
from tests.simulated.hearing import (
    WINDOW,
    Fates,
    Flags,
    Hearing,
    draw_fates,
    silence_known,
)

SETTINGS = AdviceSettings()


def on_file(reflashed: int, fates: Fates, cured: Flags, age: int) -> list[PastConcern]:
    """Concerns of one update, so many reflashed and the others explained by something else."""
    heard = (fates.heard_on <= age).tolist()
    window = (InWindow(1, 0, min(age, WINDOW)),)
    known = [
        past(i, 1 if good else None, reflashed=(1,))
        if told
        else past(i, None, answer_known=False, in_window=window, reflashed=(1,))
        for i, (told, good) in enumerate(zip(heard, cured.tolist(), strict=True))
    ]
    return known + [past(reflashed + i, None) for i in range(reflashed, 4000)]


@pytest.mark.parametrize("age", [45, 200])
def test_at_any_age_of_a_shop_the_start_is_the_chance_that_made_it(age: int) -> None:
    """4,000 drawn concerns, 6 of 10 curable, 4 of 10 others reflashed too, told and reached as in shops.

    Held to the shop's own h, so that nothing but the reading of silence can be off; .03 is what is left of
    what the delays were assumed to be. Counted to the day last seen, 45 days read .3.
    """
    random = np.random.default_rng(20261130)
    curable = random.random(4000) < 0.6
    cured = curable[curable | (random.random(4000) < 0.4)]
    fates = draw_fates(Hearing(0.8, 0.5, told_after=7.0), cured, random)
    ages = np.full(cured.size, age)
    silence = replace(silence_known(np.ones_like(ages), fates, ages), told=np.array([0.8]))
    got = learn(on_file(cured.size, fates, cured, age), (), SETTINGS, silence=silence)
    assert starting_chance.mean(got.starts, 1) == pytest.approx(0.6, abs=0.03)


def test_each_value_told_unasked_makes_a_start_and_all_weigh_alike() -> None:
    """Silence that would have been told proves a cure; silence that never is proves little."""
    silence = Silence(np.linspace(0.2, 1.0, WINDOW + 1), np.array([0.0, 1.0]), 0.0)
    waiting = [
        past(i, None, answer_known=False, in_window=(InWindow(1, 0, WINDOW),), reflashed=(1,))
        for i in range(9)
    ]
    known = [past(20 + i, 1 if i else None, reflashed=(1,)) for i in range(3)]
    by_told, _waiting = update_records([*known, *waiting], silence)
    assert [one[1].known for one in by_told] == [3, 3]
    assert by_told[1][1] == UpdateRecord(2, 1, (1.0,), (9,))
    got = learn([*known, *waiting], (), SETTINGS, silence=silence)
    low, high = (starting_chance.mean([one], 1) for one in got.starts)
    assert starting_chance.mean(got.starts, 1) == pytest.approx((low + high) / 2)
    drawn = starting_chance.draws(got.starts, 1, 20_000, np.random.default_rng(2))
    assert drawn[:10_000].mean() == pytest.approx(low, abs=0.01)
    assert drawn[10_000:].mean() == pytest.approx(high, abs=0.01)


def test_without_silent_vehicles_there_is_one_start() -> None:
    assert len(learn([past(1, 1), past(2, None)], (), SETTINGS).starts) == 1
