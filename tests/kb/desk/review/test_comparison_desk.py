"""Two groups side by side: the interval of the difference by hand, days, and what makes groups differ."""

from __future__ import annotations

from datetime import date, timedelta
from math import hypot

import pytest
from lifelines import KaplanMeierFitter
from lifelines.statistics import logrank_test
from scipy import stats

from kb.desk.context import RunningShop
from kb.desk.review import comparison
from kb.desk.review.comparison import Group
from kb.errors import BadInput
from tests.kb.desk.imports.importing import LEAD, history, take

DAY = date(2026, 3, 2)


def rows(update: str, count: int, first: int, failed: tuple[int, ...], **said: str) -> list[dict[str, str]]:
    """`count` vehicles reflashed on DAY, back on the days of `failed`, the others seen past the window."""
    begin = date.fromisoformat(said.setdefault("reflashed_on", str(DAY)))
    told = [{"returned_on": str(begin + timedelta(day))} for day in failed]
    told += [{"last_seen_on": str(begin + timedelta(95))}] * (count - len(failed))
    return [{"ro_number": str(first + n), "update": update} | said | one for n, one in enumerate(told)]


def clopper_pearson(cured: int, of: int) -> tuple[float, float]:
    """At 90 %; Clopper & Pearson (1934) by scipy, independent of the beta product procedure."""
    exact = stats.binomtest(cured, of).proportion_ci(0.9, method="exact")
    return float(exact.low), float(exact.high)


def test_the_difference_and_its_interval_are_those_of_newcombes_method_10(two: RunningShop) -> None:
    """A: 18 of 20 cured, B: 9 of 15, nobody out of sight, so that each rate's interval is Clopper-Pearson.

    Distances to the ends are squared and added: Newcombe (1998), Stat. Med. 17:873-890, method 10.
    """
    failed = ((10, 40), (5, 20, 20, 60, 61, 88))
    take(two, "history", history(*rows("A", 20, 100, failed[0]), *rows("B", 15, 200, failed[1])))
    with two.reading(LEAD) as desk:
        found = comparison.compare_groups(desk, Group(1), Group(2))
    (l1, u1), (l2, u2) = clopper_pearson(18, 20), clopper_pearson(9, 15)
    low = 0.9 - 0.6 - hypot(0.9 - l1, u2 - 0.6)
    high = 0.9 - 0.6 + hypot(u1 - 0.9, 0.6 - l2)
    assert found.first.interval == pytest.approx((l1, u1), abs=1e-9)
    assert found.second.interval == pytest.approx((l2, u2), abs=1e-9)
    assert found.comparison is not None
    assert found.comparison.difference == pytest.approx(0.3)
    assert found.comparison.interval == pytest.approx((low, high), abs=1e-9)
    days = [[*some, *[90] * (n - len(some))] for some, n in zip(failed, (20, 15), strict=True)]
    events = [[1] * len(some) + [0] * (n - len(some)) for some, n in zip(failed, (20, 15), strict=True)]
    expected = logrank_test(days[0], days[1], events[0], events[1]).p_value
    assert found.comparison.p_value == pytest.approx(expected)
    assert found.warnings == ()


def test_before_a_day_and_since_it_share_no_vehicle(two: RunningShop) -> None:
    """The day itself belongs to the second group."""
    told = [
        *rows("A", 12, 100, (30, 31), reflashed_on="2026-03-09"),
        *rows("A", 13, 200, (30,), reflashed_on="2026-03-10"),
    ]
    take(two, "history", history(*told))
    day = date(2026, 3, 10)
    with two.reading(LEAD) as desk:
        found = comparison.compare_groups(desk, Group(1, until=day - timedelta(1)), Group(1, since=day))
        everything = comparison.compare_groups(desk, Group(until=day - timedelta(1)), Group(since=day))
    for one in (found, everything):
        assert (one.first.answers.reflashes, one.second.answers.reflashes) == (12, 13)
        fitted = KaplanMeierFitter().fit([30, 31, *[90] * 10], [1, 1, *[0] * 10])
        assert one.first.cure_rate == pytest.approx(float(fitted.predict(90)))
        assert one.second.cure_rate == pytest.approx(12 / 13)


@pytest.mark.parametrize(
    ("of_ten", "warned"),
    [(0, False), (2, False), (3, True), (10, True)],
)
@pytest.mark.parametrize(("name", "said"), [("make", "Quellen"), ("module", "TCM")])
def test_groups_that_differ_in_more_than_a_fifth_are_said_to_differ(
    two: RunningShop, name: str, said: str, of_ten: int, warned: bool
) -> None:
    """Ten vehicles against ten; `of_ten` of the second group are of another kind. The fifth is ours."""
    told = rows("A", 10, 100, ()) + rows("B", 10, 200, ())
    for row in told[10 : 10 + of_ten]:
        row[name] = said
    take(two, "history", history(*told))
    with two.reading(LEAD) as desk:
        found = comparison.compare_groups(desk, Group(1), Group(2)).warnings
    assert [name in one for one in found] == ([True] if warned else [])


def test_a_group_of_which_nothing_is_known_is_refused_by_its_name(two: RunningShop) -> None:
    take(two, "history", history(*rows("A", 10, 100, ()), *rows("B", 3, 200, (), other_work="plugs")))
    with two.reading(LEAD) as desk:
        for groups, field in (((Group(1), Group(2)), "second"), ((Group(2), Group(1)), "first")):
            with pytest.raises(BadInput) as refused:
                comparison.compare_groups(desk, *groups)
            assert list(refused.value.fields) == [field]
            assert f"The {field} group" in str(refused.value)
