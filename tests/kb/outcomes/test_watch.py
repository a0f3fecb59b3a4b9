"""The watch: its path, its limit, and when it speaks."""

from __future__ import annotations

import itertools
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from kb.nouns.outcomes import Standing
from kb.outcomes.alarms.alarm_limits import STREAM, Replayed, alarm_limit, even_stream, failures, limit_passed
from kb.outcomes.alarms.replays import highest
from kb.outcomes.alarms.sightings import Sightings, sightings_by_month, sightings_on_days
from kb.outcomes.alarms.suspicion import Histories, cusum, daily_changes, suspicion
from kb.outcomes.alarms.worse_than_shop import watch
from kb.outcomes.silence import Silence
from kb.outcomes.tally import tally
from tests.kb.outcomes.made import RULE, TODAY, all_seen, stories

WINDOW = 90
DAYS = np.arange(WINDOW + 1)
SHOWN = 1 - np.exp(-(DAYS + 5) / 30)
SHOWN /= SHOWN[-1]
A = TODAY.toordinal()
SHOP = Silence(SHOWN, np.array([1.0]), 1.0)
"""All failures are told, as they show."""


def steady(n: int, failing_every: int, silent_every: int = 3) -> Sightings:
    """One update, a reflash every tenth day; the failing ones fail at ages spread like the shop's."""
    place = np.arange(n)
    start = A - 10 * n + 10 * place
    open_to = np.minimum(A - start, WINDOW)
    age = np.searchsorted(SHOWN, (place * 0.618) % 1)
    failed = (place % failing_every == 0) & (age <= open_to)
    free_to = np.where(place % silent_every == 1, 0, open_to)
    return Sightings(
        WINDOW,
        start,
        np.where(failed, age, -1),
        np.where(failed, age, free_to),
        np.where(failed, age, open_to),
        open_to,
    )


def shop_with(update: Sightings) -> dict[int, Sightings]:
    """Six updates that fail every fifth time, and update 7."""
    return dict.fromkeys(range(1, 7), steady(40, 5)) | {7: update}


def test_page_s_cusum_is_the_running_sum_that_never_falls_below_0() -> None:
    # Page (1954), Biometrika 41:100-115: S = max(0, S + x), by hand.
    assert cusum(np.array([1.0, -3.0, 2.0, 0.5, -1.0])).tolist() == [1.0, 0.0, 2.0, 2.5, 1.5]


@given(st.lists(st.floats(-3, 3), min_size=1, max_size=40))
def test_the_cusum_of_any_path_is_the_loop(changes: list[float]) -> None:
    total, loop = 0.0, []
    for x in changes:
        total = max(0.0, total + x)
        loop.append(total)
    assert cusum(np.array(changes)) == pytest.approx(loop, abs=1e-9)


def test_a_reflash_with_its_answer_weighs_as_in_the_bernoulli_cusum() -> None:
    # Reynolds & Stoumbos (1999), J. Qual. Technol. 31:87-108: a failure ln(p1/p0), a good one
    # ln((1-p1)/(1-p0)); risk-adjusted weights of Steiner et al. (2000) have the same form.
    ratio = suspicion(0.2, SHOWN)
    assert ratio.failing == pytest.approx(np.log(0.6 / 0.2))
    assert ratio.free[-1] == pytest.approx(np.log(0.4 / 0.8))
    assert ratio.free[0] == 0.0


@given(
    st.lists(st.tuples(st.integers(0, 200), st.integers(-1, 90), st.integers(0, 90)), min_size=1, max_size=15)
)
def test_each_day_s_change_is_the_difference_of_what_each_vehicle_says(
    rows: list[tuple[int, int, int]],
) -> None:
    start, failed_on, free_to = np.array(rows).T
    ratio = suspicion(0.25, SHOWN)

    def says(i: int, day: int) -> float:
        age = day - start[i]
        if age < 0:
            return 0.0
        if 0 <= failed_on[i] <= age:
            return ratio.failing
        last = min(age, failed_on[i] - 1 if failed_on[i] >= 0 else free_to[i], WINDOW)
        return float(np.log((1 - 0.625 * SHOWN[last]) / (1 - 0.25 * SHOWN[last]))) if last >= 0 else 0.0

    changes = daily_changes(Histories(start, failed_on, free_to), ratio, 0, 300)
    twin = [sum(says(i, day) for i in range(start.size)) for day in range(300)]
    assert np.cumsum(changes) == pytest.approx(twin, abs=1e-9)


def test_bad_luck_alone_passes_the_limit_as_seldom_as_stated() -> None:
    # The limit against a slow twin: 600 fresh replays of 100 dated reflashes, each path by the loop. One
    # false alarm in 500 reflashes means a chance of 1 - exp(-100/500) = .181; four standard errors are .063.
    start = np.arange(100) * 4
    open_to = np.minimum(400 - start, WINDOW)
    limit = alarm_limit(
        Replayed(tuple(start.tolist()), tuple(open_to.tolist()), tuple(SHOWN.tolist()), 0.25, 1e9),
        highest,
    )
    rng, ratio, alarms = np.random.default_rng(8), suspicion(0.25, SHOWN), 0
    for _ in range(600):
        age = np.searchsorted(SHOWN, rng.random(100))
        failed_on = np.where((rng.random(100) < 0.25) & (age <= open_to), age, -1)
        path = cusum(daily_changes(Histories(start, failed_on, open_to), ratio, 0, 490))
        alarms += bool(path.max() > limit)
    assert alarms / 600 == pytest.approx(1 - np.exp(-0.2), abs=0.063)


def test_a_shop_that_knows_its_luck_less_well_asks_for_more_before_it_speaks() -> None:
    start = tuple(range(0, 300, 10))
    limits = [
        alarm_limit(Replayed(start, (90,) * len(start), tuple(SHOWN.tolist()), 0.25, known), highest)
        for known in (20.0, 1e9)
    ]
    assert limits[0] > limits[1] + 0.2


def test_the_same_dates_give_the_same_limit_and_busier_streams_share_theirs() -> None:
    few = Replayed((0, 3, 9), (90, 90, 81), tuple(SHOWN.tolist()), 0.25, 80.0)
    assert alarm_limit(few, highest) == alarm_limit.__wrapped__(few, highest)
    assert even_stream(1.01, SHOWN, 0.2502, 900) == even_stream(0.9, SHOWN, 0.2649, 1100)
    assert len(even_stream(5.0, SHOWN, 0.2, 500).start) == STREAM


def test_an_update_gone_bad_is_told_and_a_shop_all_alike_is_not() -> None:
    assert watch(shop_with(steady(40, 5)), TODAY, SHOP) == {}
    alarms = watch(shop_with(steady(40, 2)), TODAY, SHOP)
    assert list(alarms) == [7]
    assert date(2025, 10, 1) < alarms[7].since <= TODAY
    assert alarms[7].sentence.startswith("Worse than the shop: by ")


def test_the_sentence_counts_what_had_happened_by_that_day() -> None:
    # 22 failures on day 30 of reflashes five days apart, then 18 good ones; counted by hand from the dates.
    update = in_order(22, 18, 0)
    alarm = watch({1: in_order(20, 40, 0), 7: update}, TODAY, SHOP)[7]
    day = alarm.since.toordinal()
    failed = sum(1 for start in update.start.tolist()[:22] if start + 30 <= day)
    reflashed = sum(1 for start in update.start.tolist() if start <= day)
    assert f"{failed} of {reflashed} were known not to be cured, where about " in alarm.sentence
    assert failed < 22


def test_an_acknowledged_alarm_starts_from_nothing() -> None:
    shop = shop_with(steady(40, 2))
    first = watch(shop, TODAY, SHOP)[7].since
    again = watch(shop, TODAY, SHOP, {7: first}).get(7)
    assert again is None or again.since > first + timedelta(7)
    assert watch(shop, TODAY, SHOP, {7: TODAY}) == {}


def test_a_shop_that_followed_few_vehicles_is_told_nothing() -> None:
    assert watch({1: steady(6, 5), 7: steady(40, 2)}, TODAY, SHOP) == {}
    assert watch({7: steady(40, 2)}, TODAY, SHOP) == {}
    assert watch({}, TODAY, SHOP) == {}


def in_order(failing: int, followed: int, silent: int) -> Sightings:
    """Failures of day 30 first, then vehicles followed to the window, then silent ones, five days apart."""
    n = failing + followed + silent
    start = A - 90 - 5 * n + 5 * np.arange(n)
    open_to = np.full(n, WINDOW)
    kind = np.repeat([30, WINDOW, 0], [failing, followed, silent])
    failed_on = np.where(kind == 30, 30, -1)
    return Sightings(WINDOW, start, failed_on, kind, np.where(kind == 30, 30, WINDOW), open_to)


def test_an_alarm_that_hangs_on_silence_is_not_given() -> None:
    # Others: 20 not cured of 60, but of the 30 heard of again 20 of 30. The update: 22 not cured of 40.
    update = in_order(22, 18, 0)
    assert 7 not in watch({1: in_order(20, 10, 30), 7: update}, TODAY, SHOP)
    assert 7 in watch({1: in_order(20, 40, 0), 7: update}, TODAY, SHOP)


@settings(max_examples=60)
@given(st.lists(stories, max_size=25))
def test_any_facts_can_be_watched_by_day_or_by_month(facts: list) -> None:  # type: ignore[type-arg]
    observations = all_seen(facts, RULE, TODAY)
    counts = tally(observations, RULE.days)
    start = np.array([one.reflashed_on.toordinal() for one in observations], dtype=np.int64)
    by_day = sightings_on_days(counts, start, TODAY)
    by_month = sightings_by_month(counts, TODAY)
    assert by_day.keys() == by_month.keys()
    for update, seen in by_day.items():
        kept = [o for o in observations if o.update_id == update and not o.other_work]
        assert seen.start.size == sum(o.standing != Standing.NOT_KNOWN for o in kept)
        assert np.all(np.abs(np.sort(by_month[update].start) - np.sort(seen.start)) <= 16)
        ended = [o.silent_day for o in kept if o.standing == Standing.ENDED]
        can_show = seen.open_to[
            [o.standing == Standing.ENDED for o in kept if o.standing != Standing.NOT_KNOWN]
        ]
        assert can_show.tolist() == ended
        assert np.all((seen.free_to <= seen.silent_to) & (seen.free_to <= seen.open_to))
    for alarm in watch(by_day, TODAY, SHOP).values():
        assert alarm.since <= TODAY + timedelta(0)


def test_replays_go_from_failure_to_failure_as_they_would_day_by_day() -> None:
    """The slow twin keeps every day of every replay: Page's sum over the daily changes."""
    rng = np.random.default_rng(5)
    for n, span, width in ((1, 1, 91), (40, 30, 31), (60, 500, 91), (25, 3, 11)):
        start = np.sort(rng.integers(0, span, n))
        open_to = rng.integers(0, width, n)
        shown = np.minimum((np.arange(width) + 1.0) / width, 1.0)
        replayed = Replayed(tuple(start.tolist()), tuple(open_to.tolist()), tuple(shown.tolist()), 0.3, 90.0)
        ratio = suspicion(0.3, shown)
        days = int(start.max() - start.min()) + width
        draws, fast = np.random.default_rng(0), highest(replayed, np.random.default_rng(0))
        for peaks in itertools.islice(fast, 1):
            replay, vehicle, age = failures(draws, replayed, shown, open_to)
            ages = np.full((peaks.size, n), -1)
            ages[replay, vehicle] = age
            slow = [
                cusum(daily_changes(Histories(start, failed, open_to), ratio, int(start.min()), days)).max()
                for failed in ages
            ]
            assert_allclose(peaks, slow, atol=1e-9)


@pytest.mark.parametrize(("span", "clumps"), [(300, 0), (2000, 0), (1000, 6)])
def test_a_busy_update_s_shared_limit_is_near_that_of_its_own_dates(span: int, clumps: int) -> None:
    rng = np.random.default_rng(span + clumps)
    days = rng.integers(0, span, clumps)[rng.integers(0, clumps, 80)] if clumps else rng.integers(0, span, 80)
    start = np.sort(days + rng.integers(0, 14, 80))
    own = Replayed(tuple((start - start[0]).tolist()), (WINDOW,) * 80, tuple(SHOWN.tolist()), 0.24, 700.0)
    busy = even_stream(80 / (start[-1] - start[0]), SHOWN, 0.24, 700.0)
    assert alarm_limit(busy, highest) == pytest.approx(alarm_limit(own, highest), abs=0.3)


def test_a_peak_passes_the_limit_only_above_it() -> None:
    replayed = Replayed(tuple(range(0, 200, 5)), (90,) * 40, tuple(SHOWN.tolist()), 0.25, 80.0)
    limit = alarm_limit(replayed, highest)
    assert limit_passed(limit + 1e-9, replayed, highest) == limit
    assert limit_passed(limit - 1e-9, replayed, highest) is None
