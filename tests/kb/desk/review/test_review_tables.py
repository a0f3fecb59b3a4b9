"""The funnel of a busy shop against exact binomial tails, and every column of the months."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from scipy import stats

from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.desk.review import reports, review_tables
from kb.desk.review.reports import ReportFilter
from kb.nouns.outcomes import Standing
from kb.records.tables import ConcernRow
from tests.factories import an_update
from tests.kb.desk.imports.importing import LEAD, history, take

pytestmark = pytest.mark.both_databases

DAY = date(2026, 3, 2)
CURED, OF = {"A": 57, "B": 4, "C": 1}, {"A": 60, "B": 12, "C": 2}


def told(update: str, number: int, *, cured: bool) -> dict[str, str]:
    heard = {"last_seen_on": str(DAY + timedelta(95))} if cured else {"returned_on": str(DAY + timedelta(9))}
    return {"ro_number": f"{update}{number}", "update": update, "reflashed_on": str(DAY)} | heard


@pytest.fixture
def busy(shop: RunningShop) -> RunningShop:
    """Nobody out of sight: 57 of 60, 4 of 12 and 1 of 2 cured, so the shop's rate is 62 of 74."""
    with shop.writing(LEAD) as desk:
        for number in OF:
            notes.write_note(desk, an_update(number=number))
    rows = [told(name, n, cured=n < CURED[name]) for name in OF for n in range(OF[name])]
    take(shop, "history", history(*rows))
    return shop


def test_the_funnel_flags_what_luck_brings_in_less_than_one_of_a_thousand(busy: RunningShop) -> None:
    """Tails by scipy.stats.binom. The limits lie between the last count that luck brings less often than .001
    and the next one, whatever is interpolated between them.
    """
    with busy.reading(LEAD) as desk:
        table = review_tables.funnel_table(desk, ReportFilter())
    target = 62 / 74
    assert table.target == pytest.approx(target)
    assert table.told
    assert [(one.number, one.known) for one in table.points] == [("A", 60), ("B", 12), ("C", 2)]
    for one in table.points:
        n, cured = OF[one.number], CURED[one.number]
        assert one.rate == pytest.approx(cured / n)
        luck = stats.binom(n, target)
        seldom, often = luck.cdf(cured) < 0.001, luck.sf(cured - 1) < 0.001
        assert one.flagged == (seldom or often)
        rare = [count for count in range(n + 1) if luck.cdf(count) <= 0.001]
        lowest = max(rare, default=-1)
        assert max(lowest, 0) / n <= one.low <= (lowest + 1) / n
        rare = [count for count in range(n + 1) if luck.sf(count - 1) <= 0.001]
        highest = min(rare, default=n + 1)
        assert (highest - 1) / n <= one.high <= min(highest, n) / n
    assert [one.flagged for one in table.points] == [False, True, False]
    assert [vehicles for vehicles, *_ in table.limits] == list(range(1, 61))
    drawn = {vehicles: limits for vehicles, *limits in table.limits}
    assert [drawn[one.known] for one in table.points] == [[one.low, one.high] for one in table.points]


def test_the_points_of_the_funnel_are_the_rows_of_the_report(busy: RunningShop) -> None:
    with busy.reading(LEAD) as desk:
        table = review_tables.funnel_table(desk, ReportFilter())
        report = reports.reflash_report(desk, ReportFilter()).report
    rows = {row.update: row for row in report.rows}
    assert table.target == report.shop.cure_rate
    for one in table.points:
        row = rows[one.update]
        assert (one.known, one.rate, one.alarm) == (row.known, row.cure_rate, row.alarm is not None)


def test_a_quarter_has_the_rate_of_its_months_as_if_chosen_by_its_days_and_none_while_many_wait(
    busy: RunningShop,
) -> None:
    """The report's own shop row, asked for by the first and last day of the quarter, is the twin."""
    first, last = date(2026, 7, 1), date(2026, 9, 30)
    others = [
        {
            "update": "A",
            "opened_on": "2026-07-03",
            "reflashed_on": "2026-07-04",
            "last_seen_on": "2026-10-20",
        },
        {"update": "B", "opened_on": "2026-08-03", "reflashed_on": "2026-08-04", "returned_on": "2026-08-20"},
    ]
    waiting = [{"update": "A", "opened_on": "2026-10-02", "reflashed_on": "2026-10-03"}] * 3
    rows = [{"ro_number": f"x{n}"} | one for n, one in enumerate([*others, *waiting])]
    take(busy, "history", history(*rows))
    with busy.reading(LEAD) as desk:
        spring, summer, autumn = review_tables.quarter_table(desk, ReportFilter())
        shop = reports.reflash_report(desk, ReportFilter(since=first, until=last)).report.shop
    assert (spring.first, spring.known, spring.words) == (date(2026, 1, 1), 74, "Jan to Mar 2026")
    assert spring.rate == pytest.approx(62 / 74)
    assert (summer.first, summer.known, summer.rate) == (first, 2, shop.cure_rate)
    assert summer.interval == pytest.approx(shop.interval)
    assert (autumn.known, autumn.waiting, autumn.rate) == (0, 3, None)


def test_every_column_of_the_months_has_its_own_count(shop: RunningShop) -> None:
    """Numbers that differ in March; in October windows are open, and one road test could not say."""
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update(number="A"))
    ends: tuple[tuple[int, dict[str, str]], ...] = (
        (7, {"last_seen_on": "2026-08-01"}),
        (3, {"returned_on": "2026-03-12"}),
        (2, {"gone_at_road_test": "no"}),
        (4, {"last_seen_on": "2026-03-22"}),
        (1, {"gone_at_road_test": ""}),
        (6, {"other_work": "plugs", "last_seen_on": "2026-08-01"}),
    )
    rows = [{"update": "A", "reflashed_on": str(DAY)} | one for count, one in ends for _ in range(count)]
    october = {"update": "A", "opened_on": "2026-10-01", "reflashed_on": "2026-10-02"}
    rows += [october, october | {"gone_at_road_test": ""}, october | {"returned_on": "2026-10-20"}]
    take(shop, "history", history(*({"ro_number": str(n)} | one for n, one in enumerate(rows))))
    with shop.reading(LEAD) as desk:
        first, last = review_tables.month_table(desk, ReportFilter())
        until = review_tables.month_table(desk, ReportFilter(until=date(2026, 9, 30)))
        lines = review_tables.vehicles_of_update(desk, 1)
    assert first == review_tables.MonthRow(date(2026, 3, 1), 17, 7, 5, 0, 5, 0, 6)
    assert last == review_tables.MonthRow(date(2026, 10, 1), 3, 0, 1, 2, 0, 0, 0)
    assert until == (first,)
    assert [one.reflashed_on.month for one in lines] == [10] * 3 + [3] * 23


def test_the_days_of_an_intermittent_are_real_days(shop: RunningShop) -> None:
    """Usual gap 60, so its window is 180: back on day 150 is back on day 150, not on day 75 of 90."""
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update(number="A"))
    row = told("A", 1, cured=False) | {"returned_on": str(DAY + timedelta(150))}
    take(shop, "history", history(row))
    with shop.writing(LEAD) as desk:
        held = desk.session.get(ConcernRow, 1)
        assert held is not None
        held.usual_gap_days = 60
        desk.session.flush()
        desk.bump("outcomes")
        [line] = review_tables.vehicles_of_update(desk, 1)
    assert (line.standing, line.days) == (Standing.COMEBACK, 150)
