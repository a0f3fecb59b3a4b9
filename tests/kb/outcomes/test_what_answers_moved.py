"""What answers moved, beside the slow way: counting the shop as if they had never been given."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.nouns.concerns import FollowUpDraft, FollowUpResult, RoadTest
from kb.nouns.outcomes import Observation, Reflashed, WindowRule
from kb.outcomes.observe import observe
from kb.outcomes.shrinkage import heard_of
from kb.outcomes.silence import silence_of, silent_counts
from kb.outcomes.tally import tally, updates_of
from kb.outcomes.updates_in_general import HyperPrior
from kb.outcomes.what_answers_moved import chances_without_and_with

TODAY = date(2026, 11, 30)
ANSWERS = (None, FollowUpResult.FINE, FollowUpResult.CAME_BACK, FollowUpResult.SEEN_NOT_ASKED)


def seen(update: int, age: int, said: FollowUpResult | None) -> Observation:
    done = Reflashed(update, TODAY - timedelta(age), RoadTest.GONE)
    heard = [FollowUpDraft(said, TODAY - timedelta(age // 2))] if said else []
    return observe(done, heard, WindowRule(), TODAY)


vehicles = st.lists(st.tuples(st.integers(1, 3), st.integers(0, 200), st.sampled_from(ANSWERS)), min_size=1)


@settings(max_examples=30)
@given(vehicles, st.integers(0, 3))
def test_without_them_is_what_the_shop_would_have_counted(
    shop: list[tuple[int, int, FollowUpResult | None]], mine: int
) -> None:
    given_now = [seen(*one) for one in shop]
    update = shop[0][0]
    own = [at for at, one in enumerate(shop) if one[0] == update][: mine + 1]
    without = [seen(update, shop[at][1], None) for at in own]
    counts = tally(given_now, 90)
    known = (silence_of(counts), HyperPrior())
    told = chances_without_and_with(counts, update, (without, [given_now[at] for at in own]), known)

    then = list(given_now)
    for at, one in zip(own, without, strict=True):
        then[at] = one
    updates = updates_of(counts)
    place = np.searchsorted(updates, [update])
    everyone = silent_counts(counts, updates)
    slow = [
        heard_of(silent_counts(tally(some, 90), np.array([update])), everyone, place, *known).mean[0]
        for some in (then, given_now)
    ]
    assert told == pytest.approx(slow, abs=1e-9)


def test_being_here_and_not_asked_moves_nothing() -> None:
    quiet, here = seen(1, 60, None), seen(1, 60, FollowUpResult.SEEN_NOT_ASKED)
    assert (quiet.standing, quiet.day, quiet.silent_day) == (here.standing, here.day, here.silent_day)
