"""How two groups stand in the shop's words, and when it is too early or too few for a conclusion."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from kb.desk.bay.concern import concerns
from kb.desk.bay.programming import programming
from kb.desk.context import RunningShop
from kb.desk.review import comparison
from kb.desk.review.comparison import Group
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult, RoadTest
from kb.outcomes.conclusion import Conclusion
from tests.conftest import StandingClock
from tests.factories import a_concern
from tests.kb.desk.imports.importing import LEAD, history, take

A, B = 1, 2


def rows(update: str, first: int, count: int, begin: date, **said: str) -> list[dict[str, str]]:
    """Equal vehicles reflashed on `begin`; returned and last seen are days after it."""
    dated = {
        key: str(begin + timedelta(int(value))) if key in ("returned_on", "last_seen_on") else value
        for key, value in said.items()
    }
    return [
        {"ro_number": str(first + n), "update": update, "opened_on": str(begin), "reflashed_on": str(begin)}
        | dated
        for n in range(count)
    ]


def test_each_vehicle_stands_in_one_count(two: RunningShop, clock: StandingClock) -> None:
    """Counted by hand: past the window 3 cured, 2 back, 1 not at road test, 4 not asked, 1 with other work;
    in it 5 waiting, 1 back on day 10, and 1 whose road test could not say, which waits as well.
    """
    with two.reading(LEAD) as desk:
        young, old = desk.today - timedelta(60), desk.today - timedelta(200)
    told = [
        *rows("A", 100, 3, old, last_seen_on="95"),
        *rows("A", 110, 2, old, returned_on="20"),
        *rows("A", 120, 1, old, gone_at_road_test="no"),
        *rows("A", 130, 4, old),
        *rows("A", 140, 1, old, other_work="plugs", last_seen_on="95"),
        *rows("A", 150, 5, young),
        *rows("A", 160, 1, young, returned_on="10"),
        *rows("A", 170, 1, young, gone_at_road_test="", duplicated_before="no"),
        *rows("B", 200, 1, old, last_seen_on="95"),
    ]
    take(two, "history", history(*told))
    with two.reading(LEAD) as desk:
        found = comparison.compare_groups(desk, Group(A), Group(B))
    told_a = found.first.answers
    counted = (told_a.cured, told_a.failed, told_a.waiting, told_a.not_asked, told_a.ended)
    assert counted == (3, 4, 6, 4, 0)
    assert told_a.reflashes == 17
    assert (told_a.due, told_a.due_known) == (10, 6)
    assert found.conclusion is Conclusion.CANNOT_TELL_YET
    assert found.comparison is not None


@pytest.mark.parametrize(("age", "early"), [(89, True), (90, False)])
def test_a_rate_at_the_window_is_given_only_once_somebody_could_have_reached_it(
    two: RunningShop, age: int, early: bool
) -> None:
    """Twelve back within the window: enough answers, but at 89 days nobody could be cured yet."""
    with two.reading(LEAD) as desk:
        today = desk.today
    first = rows("A", 100, 12, today - timedelta(200), last_seen_on="95")
    second = rows("B", 200, 12, today - timedelta(age), returned_on="10") + rows(
        "B", 300, 12, today - timedelta(age - 30)
    )
    take(two, "history", history(*first, *second))
    with two.reading(LEAD) as desk:
        found = comparison.compare_groups(desk, Group(A), Group(B))
    assert (found.conclusion is Conclusion.TOO_EARLY) == early
    assert (found.comparison is None, found.second.cure_rate is None, found.second.interval is None) == (
        (early,) * 3
    )
    assert found.second.oldest == today - timedelta(age)
    assert not (early and found.warnings)
    assert found.first.cure_rate == 1.0


def test_an_intermittent_is_past_its_window_after_three_of_its_gaps(
    two: RunningShop, clock: StandingClock
) -> None:
    """design.md section 6: at least three usual gaps; 40 days apart need 120."""
    with two.reading(LEAD) as desk:
        long_ago = desk.today - timedelta(200)
    take(two, "history", history(*rows("B", 200, 2, long_ago, last_seen_on="95")))
    with two.writing(LEAD) as desk:
        opened = concerns.open_concern(desk, a_concern(usual_gap_days=40)).id
        module = ModuleResult("PCM", ReflashResult.COMPLETED, A, concern_ids=(opened,))
        event = ProgrammingEventDraft((module,), desk.today, road_test=RoadTest.GONE)
        programming.record_event(desk, event)
        hearing_from = desk.today
    for days, early in ((119, True), (1, False)):
        clock.move(days=days)
        with two.reading(LEAD) as desk:
            answers = comparison.compare_groups(desk, Group(A, since=hearing_from), Group(B)).first.answers
        assert answers.too_early == early
