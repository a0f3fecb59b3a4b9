"""What a history tells of comebacks reaches the owner's review, whichever column tells it."""

from __future__ import annotations

import pytest

from kb.desk.context import RunningShop
from kb.desk.imports import import_preview, imports
from kb.desk.review import reports
from kb.desk.review.reports import ReportFilter
from tests.kb.desk.imports.importing import LEAD, history, take

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


def test_a_shop_s_own_table_with_a_yes_no_comeback_and_a_result_fails_what_failed(
    sqlite_shop: RunningShop,
) -> None:
    """By hand: of five reflashes RO 2, 4 and 5 did not cure; 1 and 3 were fine past the window."""
    file = (
        b"RO,Concern,TSB,Flash date,Road test OK,Last seen,Comeback,Result\n"
        b"1,bucks,N-1,3/2/2026,yes,8/1/2026,no,cured\n2,bucks,N-1,3/2/2026,yes,8/1/2026,yes,cured\n"
        b"3,bucks,N-1,3/2/2026,yes,8/1/2026,,sold\n4,bucks,N-1,3/2/2026,yes,8/1/2026,,came back\n"
        b"5,bucks,N-1,3/20/2026,yes,8/1/2026,y,other cause\n"
    )
    with sqlite_shop.writing(LEAD) as desk:
        kept = import_preview.keep_waiting(desk, "history", "shop.csv", file)
    with sqlite_shop.reading(LEAD) as desk:
        seen = import_preview.preview(desk, import_preview.file_in_hand(desk, kept))
    assert (seen.how.columns["Comeback"], seen.how.columns["Result"]) == ("came_back", "event")
    assert (seen.new, seen.on_top, seen.notices) == (5, (), ())
    imports.run_import(sqlite_shop, LEAD, "history", "shop.csv", file, how=seen.how)
    assert review(sqlite_shop) == (5, 3, 0.4)


def test_what_is_of_the_whole_file_is_told_though_a_thousand_rows_are_bad(sqlite_shop: RunningShop) -> None:
    bad = [{"ro_number": str(n), "returned_on": "last spring"} for n in range(1100)]
    taken = take(sqlite_shop, "history", history(*bad))
    assert (len(taken.errors), taken.error_count, taken.warning_count) == (1000, 1100, 1)
    assert taken.errors[0].message.startswith("1,100 rows left out for errors tell of a failure")
