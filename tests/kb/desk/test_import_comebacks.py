"""What a history tells of comebacks reaches the owner's review, whichever column tells it."""

from __future__ import annotations

import pytest

from kb.desk import reports
from kb.desk.context import RunningShop
from kb.desk.reports import ReportFilter
from tests.kb.desk.importing import LEAD, history, take

LAST_SEEN = "2026-08-01"
"""Day 152 after the reflash: past the window of 90 days."""


def review(shop: RunningShop) -> tuple[int, int, float | None]:
    """Reflashes, comebacks and cure rate."""
    with shop.reading(LEAD) as desk:
        [row] = reports.reflash_report(desk, ReportFilter()).report.rows
    return row.tried, row.comebacks, row.cure_rate


@pytest.mark.parametrize(
    "said",
    [
        {"came_back": "yes"},
        {"returned_on": "yes"},
        {"returned_on": "unknown"},
        {"returned_on": "came back"},
        {"event": "came back"},
        {"event": "not fixed"},
        {"event": "sold", "came_back": "yes"},
        {"event": "fixed", "came_back": "yes"},
        {"came_back": "2026-04-01"},
        {"came_back": "yes", "returned_on": "2026-04-01"},
        {"came_back": "yes", "other_cause": "hose"},
        {"event": "came back", "other_cause": "hose"},
    ],
    ids=str,
)
def test_a_comeback_is_a_failure_though_the_vehicle_was_seen_past_the_window(
    sqlite_shop: RunningShop, said: dict[str, str]
) -> None:
    cured = [{"ro_number": str(n), "last_seen_on": LAST_SEEN, "came_back": "no"} for n in range(3)]
    taken = take(sqlite_shop, "history", history(*cured, {"last_seen_on": LAST_SEEN} | said))
    assert (taken.created, taken.error_count) == (4, 0)
    assert review(sqlite_shop) == (4, 1, 0.75)


def test_another_cause_past_the_window_counts_as_the_contract_says_and_is_to_be_looked_at(
    sqlite_shop: RunningShop,
) -> None:
    taken = take(sqlite_shop, "history", history({"last_seen_on": LAST_SEEN, "other_cause": "hose"}))
    assert review(sqlite_shop)[2] == 1.0
    assert [one.field for one in taken.errors if "counts as cured at 90 days" in one.message] == [
        "other_cause"
    ]
