"""Whom to call. The slow twin counts each answer and believes anew; what is by hand is worked beside it."""

from __future__ import annotations

from datetime import date, timedelta
from math import sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.nouns.outcomes import Standing
from kb.nouns.review.reflash_report import ToldUnasked
from kb.outcomes.shrinkage import CureChances, Vehicles, believe, cure_chances, what_others_say
from kb.outcomes.silence import Silence, silence_of
from kb.outcomes.tally import Floats, Tally, tally_rows
from kb.outcomes.told_unasked import Calls
from kb.outcomes.updates_in_general import HyperPrior, hyper_grid
from kb.outcomes.worth_of_a_call import call_worths, narrowing, sample_of_day, told_unasked

WINDOW = 90
TODAY = date(2026, 11, 30)


def rows(update: int, *groups: tuple[Standing, int, int]) -> list[tuple[int, ...]]:
    """Groups of (standing, day, count), all of them reflashed before the window."""
    return [(update, 0, day, WINDOW, standing, 0, count) for standing, day, count in groups]


def shop() -> Tally:
    """Update 1 has 3 vehicles of which 2 are silent, update 2 has 43 of which 2 are, update 3 none silent."""
    return tally_rows(
        [
            *rows(1, (Standing.FOLLOWED_TO_WINDOW, 90, 1), (Standing.OVERDUE, 0, 2)),
            *rows(
                2,
                (Standing.FOLLOWED_TO_WINDOW, 90, 30),
                (Standing.COMEBACK, 20, 11),
                (Standing.OVERDUE, 40, 2),
            ),
            *rows(3, (Standing.FOLLOWED_TO_WINDOW, 90, 4)),
        ],
        WINDOW,
    )


def test_one_answer_on_a_chance_of_which_nothing_is_known_by_hand() -> None:
    """Of a vehicle whose silence tells nothing (v = 0) the answer is fair: Beta(1, 1) becomes Beta(2, 1) or
    Beta(1, 2), whose 90 % ends are square roots: sqrt(.95) - sqrt(.05) = .751 wide for .9 before.
    """
    edges = np.linspace(0.0, 1.0, 4001)
    flat = CureChances(edges, np.full((1, 4000), 1 / 4000))
    assert narrowing(flat, np.zeros(1), 0.9)[0] == pytest.approx(0.9 - (sqrt(0.95) - sqrt(0.05)), abs=1e-4)


def test_a_vehicle_that_would_have_been_heard_of_tells_nothing_new() -> None:
    edges = np.linspace(0.0, 1.0, 401)
    flat = CureChances(edges, np.full((1, 400), 1 / 400))
    assert narrowing(flat, np.ones(1), 0.9)[0] == pytest.approx(0.0, abs=1e-3)


@pytest.mark.parametrize("v", [0.0, 0.35, 0.8])
def test_the_narrowing_is_that_of_counting_each_answer_and_believing_anew(v: float) -> None:
    failed, free = np.array([2.0, 11.0]), np.array([[3.0, 1.0], [2.0, 30.0]])
    shown, prior = np.array([v, 1.0]), HyperPrior()
    now = Vehicles(failed, free, shown)
    others = what_others_say(now, prior)

    def width(which: Vehicles) -> Floats:
        low, high = believe(others, which, prior).interval(0.9)
        return np.asarray(high - low)

    one = np.array([[1.0, 0.0]])
    good = Vehicles(failed, free - one + np.array([[0.0, 1.0]]), shown)
    bad = Vehicles(failed + 1.0, free - one, shown)
    before = believe(others, now, prior)
    p = hyper_grid(prior).points
    chance_good = before.mass @ (p / (1.0 - (1.0 - p) * v))
    expected = chance_good * width(good) + (1.0 - chance_good) * width(bad)
    found = narrowing(before, np.full(2, v), 0.9)
    assert found == pytest.approx(width(now) - expected, abs=2e-4)


def test_a_call_is_worth_most_where_few_vehicles_were_heard_of() -> None:
    counts = shop()
    worths = call_worths(counts, silence_of(counts, Calls(3, 1, 0.9)), HyperPrior(), 0.9)
    assert set(worths) == {1, 2}
    assert [worths[update].silent for update in (1, 2)] == [2, 2]
    assert worths[1].narrows > 3 * worths[2].narrows > 0


def test_chances_and_v_are_those_of_the_review_at_the_mean_share_told_unasked() -> None:
    """The belief is cure_chances of the same vehicles, with v = F(s) + h (1 - F(s)) and h = (.3 + .7) / 2."""
    counts = shop()
    failing = np.linspace(0.2, 1.0, WINDOW + 1)
    silence = Silence(failing, np.array([0.3, 0.7]), 0.9)
    v = [0.2 + 0.5 * 0.8, failing[40] + 0.5 * (1 - failing[40])]
    vehicles = Vehicles(
        np.array([0.0, 11.0, 0.0]),
        np.array([[2.0, 0.0, 1.0], [0.0, 2.0, 30.0], [0.0, 0.0, 4.0]]),
        np.array([*v, 1.0]),
    )
    chances = cure_chances(vehicles, HyperPrior())
    worths = call_worths(counts, silence, HyperPrior(), 0.9)
    for i, update in enumerate((1, 2)):
        expected = narrowing(chances, np.array([v[0], v[1], 0.0]), 0.9)[i]
        assert worths[update].narrows == pytest.approx(expected)


@given(st.sets(st.integers(1, 10**6), min_size=4, max_size=60), st.data())
def test_a_days_sample_stays_while_answers_come_in(ids: set[int], data: st.DataObject) -> None:
    sample = sample_of_day(ids, TODAY, 3)
    answered = data.draw(st.sampled_from(sample))
    later = sample_of_day(ids - {answered}, TODAY, 3)
    assert [one for one in sample if one != answered] == later[:2]


def test_over_the_days_every_vehicle_is_drawn_as_often_as_the_others() -> None:
    """3 of 12 on 4,000 days: 1,000 times each, standard deviation sqrt(4000 * .25 * .75) = 27."""
    drawn = [one for day in range(4000) for one in sample_of_day(range(12), TODAY + timedelta(days=day), 3)]
    assert np.abs(np.bincount(drawn, minlength=12) - 1000).max() < 5 * 27


def test_what_calls_tell_is_said_with_its_counts_and_without_calls_that_it_is_assumed() -> None:
    """The sentence of the design: its tenths are those of what is believed."""
    counts = tally_rows(
        rows(1, (Standing.FOLLOWED_TO_WINDOW, 90, 9), (Standing.COMEBACK, 20, 12), (Standing.OVERDUE, 0, 18)),
        WINDOW,
    )
    calls = Calls(9, 3, 12 / 30)
    told = told_unasked(counts, calls, silence_of(counts, calls))
    assert (told.unasked, told.found, told.reached, told.silent) == (9, 3, 12, 30)
    assert told.sentence == (
        "Of the failures of vehicles old enough to be called, 9 were told unasked, 3 found on asking 12 of "
        f"30 silent: the rest taken alike, about {round(10 * told.share)} in 10 "
        f"({round(10 * told.low)} to {round(10 * told.high)} of 10) are told unasked."
    )
    nothing = tally_rows([], WINDOW)
    assumed = told_unasked(nothing, Calls(), silence_of(nothing))
    assert (
        assumed.sentence
        == "Assumed: of failures about 8 in 10 (5 to 10 of 10) are told unasked; no call tells yet."
    )
    assert not ToldUnasked(0.8, 0.5, 0.9, 4, 0, 0, 12).by_calls
