"""The curve of one update: its columns, its band and its row of vehicles watched, by another library."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from lifelines import KaplanMeierFitter
from scipy import stats

from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.desk.review import curves
from tests.factories import an_update
from tests.kb.desk.imports.importing import LEAD, history, take

pytestmark = pytest.mark.both_databases

DAY = date(2026, 3, 2)
FAILED, LAST_SEEN = (0, 20, 20, 45, 90), (0, 10, 29, 30, 31, 44, 45, 60, 90, 90)


@pytest.fixture
def told(shop: RunningShop) -> RunningShop:
    """Of update A five failed and ten were seen for a while; B and other work do not count."""
    with shop.writing(LEAD) as desk:
        for number in ("A", "B", "C"):
            notes.write_note(desk, an_update(number=number))
    rows = [
        *({"returned_on": str(DAY + timedelta(day))} for day in FAILED[1:]),
        {"gone_at_road_test": "no"},
        *({"last_seen_on": str(DAY + timedelta(day))} for day in LAST_SEEN),
        {"last_seen_on": str(DAY + timedelta(50)), "other_work": "plugs"},
        {"update": "B", "returned_on": str(DAY + timedelta(50))},
    ]
    ordered = [
        {"update": "A", "reflashed_on": str(DAY), "ro_number": str(n)} | row for n, row in enumerate(rows)
    ]
    take(shop, "history", history(*ordered))
    return shop


def test_the_curve_has_the_columns_of_the_reference_library(told: RunningShop) -> None:
    days, events = [*FAILED, *LAST_SEEN], [1] * len(FAILED) + [0] * len(LAST_SEEN)
    fitted = KaplanMeierFitter().fit(days, events)
    table = fitted.event_table
    with told.reading(LEAD) as desk:
        curve = curves.update_curve(desk, 1)
    assert [one.day for one in curve.days] == [0, 20, 45, 90]
    for one in curve.days:
        assert one.cured == pytest.approx(float(fitted.predict(one.day)))
        assert (one.at_risk, one.failed) == (
            sum(day >= one.day for day in days),
            int(table.loc[one.day, "observed"]),
        )
        assert one.low <= one.cured <= one.high
    # Those last seen, or failing, on a day are still watched on it.
    assert curve.watched == tuple((at, sum(day >= at for day in days)) for at in (0, 30, 60, 90))
    assert [count for _, count in curve.watched] == [15, 9, 4, 3]


def test_without_anybody_out_of_sight_the_band_is_that_of_clopper_and_pearson(shop: RunningShop) -> None:
    """Ten vehicles, back on days 20 and 50: 8 of 10 free at the window, and 9 of 10 on day 20; by scipy."""
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update(number="A"))
    heard = [{"returned_on": str(DAY + timedelta(day))} for day in (20, 50)]
    heard += [{"last_seen_on": str(DAY + timedelta(95))}] * 8
    rows = [
        {"update": "A", "reflashed_on": str(DAY), "ro_number": str(n)} | one for n, one in enumerate(heard)
    ]
    take(shop, "history", history(*rows))
    with shop.reading(LEAD) as desk:
        by_level = {level: curves.update_curve(desk, 1, level) for level in (0.8, 0.9)}
    for level, curve in by_level.items():
        found = {one.day: (one.low, one.high) for one in curve.days}
        for day, free in ((20, 9), (50, 8), (90, 8)):
            exact = stats.binomtest(free, 10).proportion_ci(level, method="exact")
            assert found[day] == pytest.approx((exact.low, exact.high), abs=1e-9)


def test_an_update_of_which_nothing_is_known_has_no_curve(told: RunningShop) -> None:
    with told.reading(LEAD) as desk:
        curve = curves.update_curve(desk, 3)
    assert (curve.days, curve.watched) == ((), ())
