"""Worse than it was: the odds of a change, their limit, and when the alarm speaks."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.outcomes.alarms.alarm_limits import Replayed, alarm_limit
from kb.outcomes.alarms.change_point import POINTS, evidence, highest, odds
from kb.outcomes.alarms.sightings import Sightings
from kb.outcomes.alarms.worse_than_it_was import BUSY_LIMITS, BUSY_RATES, NEWEST, course_of, worse_than_it_was
from kb.outcomes.silence import Silence
from tests.kb.outcomes.made import TODAY

WINDOW = 90
SHOWN = 1 - np.exp(-(np.arange(WINDOW + 1) + 5) / 30)
SHOWN /= SHOWN[-1]
AT_ONCE = np.ones(WINDOW + 1)
"""Every failure shows at the road test."""
A = TODAY.toordinal()
SHOP = Silence(SHOWN, np.array([1.0]), 1.0)


def sightings(start: list[int], failed_on: list[int], seen_to: list[int] | None = None) -> Sightings:
    """Vehicles by day number and age at failure (-1: none), the others followed as far as `seen_to`."""
    begin, failed = np.array(start), np.array(failed_on)
    open_to = np.minimum(A - begin, WINDOW)
    free = open_to if seen_to is None else np.minimum(np.array(seen_to), open_to)
    day = np.where(failed >= 0, failed, free)
    return Sightings(WINDOW, begin, failed, day, np.where(failed >= 0, failed, open_to), open_to)


def in_order(fine: int, failing: int, gap: int = 10, on: int = 9) -> Sightings:
    """So many that were cured, then so many that failed on day `on`; the last of them a window ago."""
    n = fine + failing
    return sightings([A - 100 - gap * (n - 1 - i) for i in range(n)], [-1] * fine + [on] * failing)


def test_the_odds_of_two_failures_after_two_cures_by_hand() -> None:
    # p of .1 .3 .5 .7 .9: changed ((1 - p)(1 + p)/2)^2 = .245025 .207025 .140625 .065025 .009025, in all
    # .666725; unchanged (p (1 - p))^2 = .0081 .0441 .0625 .0441 .0081, in all .1669.
    course = course_of(in_order(2, 2, on=0), AT_ONCE, TODAY)
    assert pytest.approx([0.1, 0.3, 0.5, 0.7, 0.9]) == POINTS
    assert odds(course.failed, course.exposed)[0, 0, 1] == pytest.approx(0.666725 / 0.1669)


vehicles = st.lists(
    st.tuples(st.integers(0, 40), st.sampled_from([-1, -1, 0, 3, 30])), min_size=1, max_size=14
).map(lambda rows: sightings(*map(list, zip(*sorted((A - 200 + 5 * s, f) for s, f in rows), strict=True))))


def slow_evidence(seen: Sightings, shown: np.ndarray, day: int) -> float:  # type: ignore[type-arg]
    """Everything anew for one day, vehicle by vehicle."""
    rows = list(zip(seen.start.tolist(), seen.failed_on.tolist(), seen.open_to.tolist(), strict=True))

    def likelihood(p: float, some: list[tuple[int, int, int]]) -> float:
        failed = sum(f >= 0 and s + f <= day for s, f, _ in some)
        weight = sum(float(shown[min(day - s, o)]) for s, _, o in some if s <= day)
        return float(p**failed * (1 - p) ** max(weight - failed, 0.0))

    total = 0.0
    for begin, f, _ in rows:
        if f < 0 or begin + f > day or begin == rows[0][0]:
            continue
        early, late = [r for r in rows if r[0] < begin], [r for r in rows if r[0] >= begin]
        changed = sum(likelihood(p, early) * likelihood((1 + p) / 2, late) for p in POINTS)
        total += changed / sum(likelihood(p, rows) for p in POINTS)
    return max(float(np.log(total)), 0.0) if total else 0.0


@given(vehicles)
def test_the_evidence_of_each_day_is_that_of_the_slow_sum(seen: Sightings) -> None:
    course = course_of(seen, SHOWN, TODAY)
    slow = [slow_evidence(seen, SHOWN, int(course.days[one])) for one in course.failed.column[0]]
    assert course.evidence.tolist() == pytest.approx(slow, abs=1e-9)


@given(st.permutations([0, 0, 0, 1, 1]), st.permutations([0, 1, 1, 1]))
def test_the_order_before_the_change_and_since_leaves_its_odds(before: list[int], since: list[int]) -> None:
    """All failures show at once, so that the last day knows them all; the change begins with the sixth."""
    failed_on = [one - 1 for one in (*before, 1, *since)]
    course = course_of(sightings([A - 200 + 7 * i for i in range(10)], failed_on), AT_ONCE, TODAY)
    begins = int(np.flatnonzero(course.failed.first[0] == 5)[0])
    ratio = [np.sum((p**2 * (1 - p) ** 3) * ((1 + p) / 2) ** 4 * ((1 - p) / 2)) for p in POINTS]
    none = [p**6 * (1 - p) ** 4 for p in POINTS]
    last = int(course.failed.column[0].argmax())
    if failed_on[-1] < 0:
        return
    assert odds(course.failed, course.exposed)[0, begins, last] == pytest.approx(sum(ratio) / sum(none))


def test_luck_alone_passes_the_limit_as_seldom_as_stated() -> None:
    # 600 fresh courses of 60 dated reflashes. One false alarm in 500 reflashes means a chance of
    # 1 - exp(-60/500) = .113; four standard errors are .052.
    start = np.arange(60) * 6
    open_to = np.minimum(400 - start, WINDOW)
    made = Replayed(tuple(start.tolist()), tuple(open_to.tolist()), tuple(SHOWN.tolist()), 0.25, 1e9)
    limit, rng, alarms = alarm_limit(made, highest), np.random.default_rng(8), 0
    for _ in range(600):
        age = np.searchsorted(SHOWN, rng.random(60))
        failed_on = np.where((rng.random(60) < 0.25) & (age <= open_to), age, -1)
        seen = replace(in_order(60, 0), start=A - 400 + start, failed_on=failed_on, open_to=open_to)
        alarms += bool(course_of(seen, SHOWN, TODAY).evidence.max(initial=0.0) > limit)
    assert alarms / 600 == pytest.approx(1 - np.exp(-0.12), abs=0.052)


@pytest.mark.parametrize(("gap", "late"), [(0.3, False), (3, True), (12, False)])
def test_the_stated_limits_of_busy_updates_are_hardly_passed_by_those_of_replays(
    gap: float, late: bool
) -> None:
    start = tuple(int(i * gap) for i in range(100))
    shown = tuple(((np.arange(91) + 5) / 95 if late else SHOWN).tolist())
    for rate, stated in zip(BUSY_RATES[1:5], BUSY_LIMITS[1:5], strict=True):
        made = alarm_limit(Replayed(start, (WINDOW,) * 100, shown, rate, 200.0), highest)
        assert stated - 1.6 < made < stated + 0.2


def test_an_update_that_cured_and_stops_curing_is_told_with_its_counts() -> None:
    told = worse_than_it_was({1: in_order(30, 0), 7: in_order(20, 8)}, TODAY, SHOP)
    assert list(told) == [7]
    first = A - 100 - 10 * 7
    reflashed = sum(first + 10 * i <= told[7].since.toordinal() for i in range(8))
    failed = sum(first + 10 * i + 9 <= told[7].since.toordinal() for i in range(8))
    assert told[7].sentence.startswith(f"Worse than it was: of {reflashed} reflashed since ")
    assert f", {failed} were known by " in told[7].sentence
    assert "of the 20 before, 0." in told[7].sentence
    assert date.fromordinal(first + 9) < told[7].since < TODAY - timedelta(50)


def test_an_update_that_was_always_bad_is_not_worse_than_it_was() -> None:
    n = 40
    bad = sightings([A - 100 - 10 * i for i in range(n)], [9 if i % 2 else -1 for i in range(n)])
    assert worse_than_it_was({1: in_order(30, 0), 7: bad}, TODAY, SHOP) == {}


def test_after_an_answer_only_what_was_reflashed_since_is_held_against_itself() -> None:
    shop = {1: in_order(30, 0), 7: in_order(20, 8)}
    since = worse_than_it_was(shop, TODAY, SHOP)[7].since
    assert worse_than_it_was(shop, TODAY, SHOP, {7: since}) == {}


def test_a_shop_that_begins_to_call_hears_of_more_and_is_not_told_that_cures_got_rarer() -> None:
    """Before, three in twenty told of a comeback and nobody was asked; then all are, half had one."""
    early = sightings(
        [A - 600 + 10 * i for i in range(20)], [9 if i in (3, 9, 15) else -1 for i in range(20)], [0] * 20
    )
    late = sightings([A - 330 + 10 * i for i in range(16)], [9 if i % 2 else -1 for i in range(16)])
    names = ("start", "failed_on", "free_to", "silent_to", "open_to")
    both = Sightings(WINDOW, *(np.concatenate([getattr(early, n), getattr(late, n)]) for n in names))
    assert worse_than_it_was({1: in_order(30, 0), 7: both}, TODAY, SHOP) == {}


def test_a_shop_that_followed_few_vehicles_is_told_nothing() -> None:
    assert worse_than_it_was({7: in_order(8, 8)}, TODAY, SHOP) == {}
    assert worse_than_it_was({}, TODAY, SHOP) == {}


@settings(max_examples=40, deadline=None)
@given(vehicles, st.integers(0, 1000))
def test_without_failures_or_alone_never_and_the_order_of_rows_is_of_no_matter(
    seen: Sightings, shuffle: int
) -> None:
    names = ("start", "failed_on", "free_to", "silent_to", "open_to")
    order = np.random.default_rng(shuffle).permutation(seen.start.size)
    mixed = Sightings(WINDOW, *(getattr(seen, n)[order] for n in names))
    quiet = replace(seen, failed_on=np.full_like(seen.failed_on, -1))
    alone = Sightings(WINDOW, *(getattr(seen, n)[:1] for n in names))
    other = {1: in_order(30, 0)}
    assert worse_than_it_was(other | {7: quiet, 8: alone}, TODAY, SHOP) == {}
    one, two = (worse_than_it_was(other | {7: some}, TODAY, SHOP) for some in (seen, mixed))
    assert one == two


def test_a_busy_update_goes_by_its_newest_reflashes() -> None:
    busy = in_order(NEWEST * 2, 30, gap=1)
    assert list(worse_than_it_was({7: busy}, TODAY, SHOP)) == [7]
    old = in_order(30, 30 + NEWEST, gap=1)
    assert worse_than_it_was({1: in_order(30, 0), 7: old}, TODAY, SHOP) == {}
    assert evidence(course_of(busy, SHOWN, TODAY).failed, course_of(busy, SHOWN, TODAY).exposed).max() > 10
