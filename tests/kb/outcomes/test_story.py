"""Heard, then told: the story of a concern by hand, and its columns against reading one by one."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import UTC, date, datetime, time

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from kb.nouns.concerns import FollowUpDraft, FollowUpResult, RoadTest
from kb.nouns.outcomes import CountedAs, Heard, Reflashed, Standing, WindowRule
from kb.outcomes.story import Story, concern_story
from kb.outcomes.tally import Tally, tally, tally_of_columns
from tests.kb.outcomes.made import RULE, TODAY, after, all_seen, came_back, fine, heard, passed, seen, stories

AIR, OTHER = FollowUpResult.UPDATED_BY_AIR, FollowUpResult.OTHER_CAUSE


def groups(counts: Tally) -> Counter[tuple[int, ...]]:
    found: Counter[tuple[int, ...]] = Counter()
    columns = (counts.update, counts.month, counts.day, counts.silent_day, counts.standing, counts.other_work)
    for *key, count in zip(*(column.tolist() for column in columns), counts.count.tolist(), strict=True):
        found[tuple(key)] += count
    return found


@given(st.lists(stories, max_size=12), st.dates(date(2026, 6, 1), date(2027, 12, 31)), st.integers(1, 200))
def test_columns_read_by_a_window_are_what_is_seen_one_by_one(
    shop: list[Story], as_of: date, window: int
) -> None:
    kept = [(one, one.columns()) for one in shop]
    stands = [
        (one, columns)
        for one, columns in kept
        if columns["counted_as"] == CountedAs.TOGETHER and columns["heard_day"] <= as_of.toordinal()
    ]
    names = ("reflashed_month", "event_kind", "event_day", "reflashed_day")
    table = [
        (one.reflash.update_id, *(columns[name] for name in names), one.reflash.other_work, 1)
        for one, columns in stands
    ]
    counted = tally_of_columns(np.array(table, dtype=np.int64), window, as_of)
    slow = tally(all_seen([one for one, _ in stands], WindowRule(window), as_of), window)
    assert groups(counted) == groups(slow)


def at(day: int, hour: int = 8) -> datetime:
    return datetime.combine(after(day), time(hour), UTC)


def done(day: int, outcome: int, sitting: int, module: str = "PCM", **facts: object) -> Reflashed:
    """Update 1, gone at road test."""
    told = {"recorded_at": at(day), "sitting": sitting, "outcome_id": outcome, "module": module}
    return Reflashed(1, after(day), RoadTest.GONE, **(told | facts))  # type: ignore[arg-type]


def told(said: FollowUpDraft, hour: int = 12) -> Heard:
    return Heard(said, datetime.combine(said.seen_on, time(hour), UTC))


def test_a_failure_heard_of_after_a_second_reflash_is_the_seconds_whatever_day_it_is_put_on() -> None:
    # Design, section 6: the first is censored on the day of the superseding reflash. The customer says on day
    # 40 that it is back, and not since when: it is dated day 20, when it was last known OK, which is before
    # the second reflash on day 35; yet what is back is what the second should have cured.
    reflashes = [done(0, 1, 1, superseded_on=after(35)), done(35, 2, 2)]
    back = replace(came_back(40), day_known=False, cost_minor=5_000)
    first, second = concern_story(reflashes, [told(fine(20)), told(back)])
    assert seen(first) == (Standing.ENDED, 35)
    assert seen(second) == (Standing.COMEBACK, 0)
    assert (first.columns()["event_kind"], second.columns()["event_kind"]) == (6, 1)
    assert (first.borne, second.borne) == ((), ((after(40), 5_000),))
    # Heard of before the second reflash, it is the first's alone.
    early = replace(back, seen_on=after(30))
    first, second = concern_story(reflashes, [told(fine(20)), told(early)])
    assert seen(first) == (Standing.COMEBACK, 20)
    assert seen(second) == (Standing.OVERDUE, 0)
    assert (first.borne, second.borne) == (((after(30), 5_000),), ())


def test_of_the_day_of_a_reflash_only_what_was_recorded_after_it_is_heard_since() -> None:
    one = done(0, 1, 1, recorded_at=at(0, 10))
    before, since = (concern_story([one], [told(came_back(0), hour)])[0] for hour in (9, 11))
    assert (seen(before), before.failed_on) == ((Standing.OVERDUE, 0), None)
    assert (seen(since), since.failed_on) == ((Standing.COMEBACK, 0), after(0))


def test_two_modules_of_one_try_count_once_and_share_nothing_of_the_cost() -> None:
    # The one whose module was updated again first stands for both; the later visit bears what it cost.
    both = [done(0, 1, 1), done(0, 2, 1, "TCM", superseded_on=after(50))]
    again = done(60, 3, 2)
    back = told(replace(came_back(20), cost_minor=3_001))
    late = told(replace(came_back(70), cost_minor=900))
    first, second, third = concern_story([*both, again], [back, late])
    assert [one.counted for one in (first, second, third)] == [False, True, True]
    assert first.columns()["counted_as"] == CountedAs.WITH_ANOTHER
    assert [sum(cost for _, cost in one.borne) for one in (first, second, third)] == [0, 3_001, 900]
    assert second.seen_by(RULE, after(10)).cost_minor == 0
    assert second.seen_by(RULE, TODAY).cost_minor == 3_001


def test_two_updates_of_one_visit_share_what_a_failure_cost_and_the_first_has_the_rest() -> None:
    two = [done(0, 1, 1), replace(done(0, 2, 1, "TCM"), update_id=2)]
    found = concern_story(two, [told(replace(came_back(20), cost_minor=3_001))])
    assert [one.borne for one in found] == [((after(20), 1_501),), ((after(20), 1_500),)]


def test_another_cause_at_closing_is_found_that_day_and_gives_way_to_any_failure_heard_of() -> None:
    closed = done(0, 1, 1, other_cause_on=after(60))
    alone, heard_too = concern_story([closed], [])[0], concern_story([closed], [told(came_back(70))])[0]
    assert seen(alone, after(59)) == (Standing.IN_WINDOW, 0)
    assert seen(alone, after(60)) == (Standing.OTHER_CAUSE, 0)
    assert alone.seen_by(RULE, TODAY).explained
    assert seen(heard_too, after(65)) == (Standing.OTHER_CAUSE, 0)
    assert seen(heard_too) == (Standing.COMEBACK, 70)
    assert heard_too.columns()["heard_day"] == after(70).toordinal()
    assert concern_story([done(0, 1, 1, other_cause_on=after(-1))], [])[0].failed_on is None


def test_an_end_is_kept_also_where_nobody_knew_how_the_vehicle_was() -> None:
    unsure = Story(Reflashed(1, after(0), RoadTest.CANNOT_SAY), (heard(AIR, 25),))
    assert seen(unsure)[0] is Standing.NOT_KNOWN
    kept = unsure.columns()
    assert (kept["event_kind"], kept["event_day"], kept["counted_as"]) == (6, 25, CountedAs.ONE_BY_ONE)


def test_a_failure_is_dated_whatever_had_ended_the_count() -> None:
    ended = passed(heard(AIR, 25), came_back(40), superseded_on=after(30))
    assert (seen(ended), ended.ends_on, ended.failed_on) == ((Standing.ENDED, 25), after(25), after(40))
    assert passed(replace(heard(OTHER, 50), day_known=False), fine(20)).failed_on == after(20)
    assert passed(fine(20)).failed_on is None


sittings = st.lists(
    st.tuples(st.integers(0, 3), st.integers(1, 2), st.sampled_from([None, 20, 60])), min_size=1, max_size=5
)
failures = st.lists(
    st.tuples(st.sampled_from(FollowUpResult), st.integers(-5, 90), st.sampled_from([None, 1, 100, 3_001]))
)


@given(sittings, failures)
def test_each_try_counts_once_and_each_cost_is_borne_once_by_the_last_visit_before(
    visits: list[tuple[int, int, int | None]], said: list[tuple[FollowUpResult, int, int | None]]
) -> None:
    """Sitting k is on day 20k; an obvious twin for each amount, in whatever order it was heard."""
    reflashes = sorted(
        (
            replace(
                done(20 * at, n, at, superseded_on=after(20 * at + gap) if gap else None), update_id=update
            )
            for n, (at, update, gap) in enumerate(visits, start=1)
        ),
        key=lambda one: (one.reflashed_on, one.outcome_id),
    )
    heard = [told(replace(FollowUpDraft(kind, after(day)), cost_minor=cost)) for kind, day, cost in said]
    found = concern_story(reflashes, heard)
    counted = [one for one in found if one.counted]
    tries = {(one.reflash.sitting, one.reflash.update_id) for one in found}
    assert sorted((one.reflash.sitting, one.reflash.update_id) for one in counted) == sorted(tries)
    assert all(one.borne == () for one in found if not one.counted)
    expected: Counter[int] = Counter()
    for kind, day, cost in said:
        before = [at for at, *_ in visits if 20 * at <= day]
        if kind in ("came_back", "other_cause") and before:
            expected[max(before)] += cost or 0
    spent: Counter[int] = Counter()
    for one in counted:
        spent[one.reflash.sitting] += sum(cost for _, cost in one.borne)
    assert spent + Counter() == expected + Counter()
