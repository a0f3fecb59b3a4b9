"""The tables of the review for a small shop, each figure counted by hand or by another library.

The shop, all of window 90: update A on Norvane PCMs, B on Quellen TCMs, reflashed in March 2026 but for one.
A: 1, 2, 3 followed to the window; 4 back on day 20 ($100); 5 not cured at road test; 6 seen to day 30, silent
since; 7 fine, with other work; 8 road test could not say, reflashed Oct 20, so still open.
B: 9 followed to the window; 10 back on day 60 ($50).
"""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from lifelines import KaplanMeierFitter
from lifelines.statistics import logrank_test
from scipy import stats

from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.desk.review import comparison, curves, money_report, reports, review_tables
from kb.desk.review.comparison import Group
from kb.desk.review.reports import ReportFilter
from kb.desk.shop import subscriptions
from kb.desk.shop.subscriptions import SubscriptionDraft, SubscriptionKind
from kb.nouns.outcomes import Standing
from tests.factories import an_update
from tests.kb.desk.imports.importing import LEAD, history, take

pytestmark = pytest.mark.both_databases

DAY = date(2026, 3, 2)
A, B = 1, 2


def row(number: int, **said: str) -> dict[str, str]:
    b = number >= 9
    return {
        "ro_number": str(number),
        "opened_on": str(DAY),
        "make": "Quellen" if b else "Norvane",
        "module": "TCM" if b else "PCM",
        "update": "B" if b else "A",
        "complaint": f"bucks {number}",
        "reflashed_on": str(DAY),
    } | said


def after(days: int) -> str:
    return str(DAY + timedelta(days))


@pytest.fixture
def told(shop: RunningShop) -> RunningShop:
    with shop.writing(LEAD) as desk:
        for number in ("A", "B"):
            notes.write_note(desk, an_update(number=number))
        ended = SubscriptionDraft("Norvane", SubscriptionKind.PROGRAMMING, 4_500, DAY, DAY, "day")
        subscriptions.add_subscription(desk, ended)
        runs = SubscriptionDraft("Norvane", SubscriptionKind.PROGRAMMING, 9_900, DAY, desk.today, "year")
        subscriptions.add_subscription(desk, runs)
    rows = [
        *(row(n, last_seen_on=after(95)) for n in (1, 2, 3)),
        row(4, returned_on=after(20), cost="100"),
        row(5, gone_at_road_test="no"),
        row(6, last_seen_on=after(30)),
        row(7, last_seen_on=after(95), other_work="plugs"),
        row(
            8, gone_at_road_test="", duplicated_before="no", opened_on="2026-10-19", reflashed_on="2026-10-20"
        ),
        row(9, last_seen_on=after(91)),
        row(10, returned_on=after(60), cost="50"),
    ]
    assert take(shop, "history", history(*rows)).created == 10
    return shop


def test_months_put_every_reflash_in_one_column(told: RunningShop) -> None:
    with told.reading(LEAD) as desk:
        march, october = review_tables.month_table(desk, ReportFilter())
        only_b = review_tables.month_table(desk, ReportFilter(module="tcm"))
    columns = ("reflashes", "cured", "not_cured", "waiting", "not_asked", "ended", "other_work")
    assert [getattr(march, one) for one in columns] == [8, 4, 3, 0, 1, 0, 1]
    assert [getattr(october, one) for one in columns] == [1, 0, 0, 1, 0, 0, 0]
    assert [(one.month, one.reflashes, one.cured, one.not_cured) for one in only_b] == [
        (date(2026, 3, 1), 2, 1, 1)
    ]


def test_rows_are_chosen_by_make_and_module_in_any_writing(told: RunningShop) -> None:
    with told.reading(LEAD) as desk:
        for asked in (ReportFilter(make="QUELLEN"), ReportFilter(module="tcm")):
            found = reports.reflash_report(desk, asked).report
            [only] = found.rows
            assert (only.update, only.tried, only.comebacks, only.comeback_cost) == (B, 2, 1, 5_000)
            assert found.chosen is not None
            together = (found.chosen.tried, found.chosen.comebacks, found.chosen.comeback_cost)
            assert together == (2, 1, 5_000)
            assert (found.shop.tried, found.shop.comebacks, found.shop.comeback_cost) == (9, 2, 15_000)
        assert reports.reflash_report(desk, ReportFilter()).report.chosen is None
        assert reports.makes_and_modules(desk) == (("Norvane", "Quellen"), ("PCM", "TCM"))


def test_each_line_of_money_counts_what_it_says(told: RunningShop) -> None:
    """Two came back for $150 together, three did not cure and nothing of their money is on file; one
    subscription ended without a reflash ($45; the one that runs is not for nothing yet).
    """
    with told.reading(LEAD) as desk:
        lines = money_report.money_report(desk, ReportFilter())
    found = [(one.count, one.amount_minor) for one in lines]
    assert found == [(2, 15_000), (2, 15_000), (0, 0), (0, 0), (0, 0), (3, 0), (1, 4_500), (0, 0)]


def test_the_funnel_stands_on_the_whole_shop_whatever_is_asked_for(told: RunningShop) -> None:
    """The shop's curve: of eight 1 fails at the road test, 1 on day 20 of 7, and 1 on day 60 of 5."""
    shop = 7 / 8 * 6 / 7 * 4 / 5
    with told.reading(LEAD) as desk:
        table = review_tables.funnel_table(desk, ReportFilter(make="Quellen"))
    assert table.target == pytest.approx(shop)
    [point] = table.points
    assert (point.update, point.known, point.rate, point.flagged) == (B, 2, 0.5, False)
    assert stats.binom.cdf(1, 2, table.target) > 0.001
    assert point.low <= 0.5 <= point.high


def test_the_curve_and_its_row_of_vehicles_watched_are_those_of_the_reference_library(
    told: RunningShop,
) -> None:
    fitted = KaplanMeierFitter().fit([90, 90, 90, 20, 0, 30], [0, 0, 0, 1, 1, 0])
    with told.reading(LEAD) as desk:
        curve = curves.update_curve(desk, A)
    assert [one.day for one in curve.days] == [0, 20, 90]
    assert [one.cured for one in curve.days] == pytest.approx(fitted.predict([0, 20, 90]).tolist())
    at_risk = fitted.event_table["at_risk"]
    assert curve.watched[0] == (0, int(at_risk.iloc[0]))
    assert curve.watched[1:] == ((30, 4), (60, 3), (90, 3))


def test_two_updates_differ_as_the_log_rank_test_says(told: RunningShop) -> None:
    first = ([90, 90, 90, 20, 0, 30], [0, 0, 0, 1, 1, 0])
    second = ([90, 60], [0, 1])
    expected = logrank_test(first[0], second[0], first[1], second[1]).p_value
    rates = [KaplanMeierFitter().fit(*one).predict(90) for one in (first, second)]
    with told.reading(LEAD) as desk:
        found = comparison.compare_groups(desk, Group(A), Group(B))
    assert found.comparison is not None
    assert found.comparison.p_value == pytest.approx(expected)
    assert found.comparison.difference == pytest.approx(float(np.subtract(*rates)))
    assert (found.first.answers.reflashes, found.second.answers.reflashes) == (7, 2)
    assert any("make" in warning for warning in found.warnings)


def test_other_work_makes_no_groups_differ(shop: RunningShop) -> None:
    """Twelve against twelve of one make; twelve more of another make had other work, so are not compared."""
    with shop.writing(LEAD) as desk:
        for number in ("A", "B"):
            notes.write_note(desk, an_update(number=number))
    same = [row(n, update="A", make="Norvane", last_seen_on=after(95)) for n in range(12)]
    like = [row(20 + n, update="B", make="Norvane", module="PCM", last_seen_on=after(95)) for n in range(12)]
    odd = [
        row(40 + n, update="B", module="PCM", other_work="plugs", last_seen_on=after(95)) for n in range(12)
    ]
    take(shop, "history", history(*(one | {"module": "PCM"} for one in (*same, *like, *odd))))
    with shop.reading(LEAD) as desk:
        found = comparison.compare_groups(desk, Group(A), Group(B))
    assert (found.second.answers.reflashes, found.warnings) == (12, ())


def test_the_vehicles_of_an_update_stand_as_they_are_counted(told: RunningShop) -> None:
    with told.reading(LEAD) as desk:
        lines = review_tables.vehicles_of_update(desk, A)
    found = {one.concern.ref: (one.standing, one.days, one.cost_minor) for one in lines}
    assert found["RO 4-A"] == (Standing.COMEBACK, 20, 10_000)
    standings = sorted(one.standing for one in lines)
    assert standings == sorted(
        [Standing.FOLLOWED_TO_WINDOW] * 4
        + [Standing.COMEBACK, Standing.FAILED_AT_ROAD_TEST, Standing.OVERDUE, Standing.NOT_KNOWN]
    )
    assert lines[0].reflashed_on == date(2026, 10, 20)


def test_a_waiting_vehicle_has_the_chance_that_the_curve_leaves_it(shop: RunningShop) -> None:
    """S(90)/S(10) by lifelines, of fifteen followed to the window, one back on day 5 and four on day 40."""
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update(number="A"))
        other_update = notes.write_note(desk, an_update(number="B")).id
        recently = desk.today - timedelta(20)
    days, failed = [90] * 15 + [5] + [40] * 4 + [10], [0] * 15 + [1] * 5 + [0]
    rows = [
        *(row(n, update="A", last_seen_on=after(95)) for n in range(15)),
        row(20, update="A", returned_on=after(5)),
        *(row(30 + n, update="A", returned_on=after(40)) for n in range(4)),
        row(40, update="A", opened_on=str(recently), reflashed_on=str(recently))
        | {"last_seen_on": str(recently + timedelta(10))},
        row(50, update="B", opened_on=str(recently), reflashed_on=str(recently)),
    ]
    take(shop, "history", history(*(one | {"make": "Norvane", "module": "PCM"} for one in rows)))
    curve = KaplanMeierFitter().fit(days, failed)
    with shop.reading(LEAD) as desk:
        [waits] = [one for one in review_tables.vehicles_of_update(desk, A) if one.stays_fine is not None]
    assert waits.days == 10
    assert waits.stays_fine == pytest.approx(curve.predict(90) / curve.predict(10))
    assert not waits.by_shop
    with shop.reading(LEAD) as desk:
        [other] = review_tables.vehicles_of_update(desk, other_update)
    whole = KaplanMeierFitter().fit([*days, 0], [*failed, 0])
    assert other.stays_fine == pytest.approx(whole.predict(90))
    assert other.by_shop
