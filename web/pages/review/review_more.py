"""More of the review: its tables as files, subscriptions, and two groups side by side."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.review import comparison, needless_reflashes, reports, review_csv
from kb.desk.review.comparison import Group
from kb.desk.review.here_or_sent_out.report import here_or_sent_out
from kb.desk.shop import subscription_use
from kb.errors import BadInput, NotFound
from kb.nouns.days import day_words
from web.downloads import csv_file
from web.pages.review.review import asked_of, filter_of, query_of
from web.query_values import OptionalId, day_asked, number_asked
from web.visits import Somebody, Visit

router = APIRouter(prefix="/review")

NEWEST = 20
"""Subscriptions shown one by one before all are asked for."""
MOST_VISITS = 300


@router.get("/subscriptions")
def subscriptions(visit: Somebody) -> Response:
    """What programming subscriptions cost, what they served, and the cheapest plan for days like the last."""
    with visit.reading() as desk:
        report = subscription_use.subscription_report(desk)
        choices = here_or_sent_out(desk)
    shown = report.used if visit.request.query_params.get("all") else report.used[:NEWEST]
    return visit.page(
        "review/subscriptions.html", place="/review", report=report, shown=shown, choices=choices
    )


@router.get("/needless")
def needless(visit: Somebody) -> Response:
    """Reflashes that did not cure, by repair order, with what was billed, credited and borne."""
    asked = asked_of(visit)
    with visit.reading() as desk:
        visits = needless_reflashes.needless_visits(desk, filter_of(asked))
        shown = visits[:MOST_VISITS]
        lines = needless_reflashes.lines_of(desk, shown)
    return visit.page(
        "review/needless.html",
        place="/review",
        query=query_of(asked),
        visits=visits,
        shown=shown,
        lines=lines,
        total=needless_reflashes.money_of(visits),
        missing=sum(not one.money.rests_on for one in visits),
    )


@router.get("/compare")
def compare(visit: Somebody) -> Response:
    """Two updates, or one update before and since a day."""
    asked = _asked(visit)
    refused, empty, groups, found = None, "", None, None
    try:
        groups = _groups(asked)
    except BadInput as wrong:
        refused = wrong
    with visit.reading() as desk:
        updates = reports.updates_counted(desk)
        try:
            found = comparison.compare_groups(desk, *groups) if groups else None
        except BadInput as nobody:
            empty = nobody.message
    return visit.page(
        "review/compare.html",
        place="/review",
        asked=asked,
        called=_called(asked, updates) if found else ("", ""),
        updates=updates,
        found=found,
        refused=refused,
        empty=empty,
    )


@router.get("/compare.csv")
def compare_as_file(visit: Somebody) -> Response:
    """Both groups as a CSV file."""
    asked = _asked(visit)
    with visit.reading() as desk:
        updates = reports.updates_counted(desk)  # before what was asked: it refuses who may not
        groups = _groups(asked)
        if groups is None:
            raise NotFound("Choose two groups first.")
        called = _called(asked, updates)
        text = review_csv.comparison_csv(comparison.compare_groups(desk, *groups), *called)
    return csv_file(text, "comparison")


@router.get("/tables/{name}.csv")
def table(visit: Somebody, name: str, note: OptionalId = None) -> Response:
    """A table as a CSV file, under the filters of the page."""
    asked = filter_of(asked_of(visit))
    with visit.reading() as desk:
        text = review_csv.table_csv(desk, name, asked, note)
    return csv_file(text, f"review-{name}")


def _asked(visit: Visit) -> dict[str, str]:
    return {name: visit.request.query_params.get(name, "").strip() for name in ("first", "second", "day")}


def _groups(asked: dict[str, str]) -> tuple[Group, Group] | None:
    """The two groups that the form names; None before both are chosen."""
    if not asked["second"] and not asked["day"]:
        return None
    first = _update(asked, "first")
    day = day_asked(asked["day"], "day")
    if day is not None:
        return Group(first, until=day - timedelta(days=1)), Group(first, since=day)
    second = _update(asked, "second")
    if first is None:
        raise BadInput(
            "Choose two updates, or one update (or all) and a day.", fields={"second": "choose one, or a day"}
        )
    if first == second:
        raise BadInput("These are the same update. Choose two, or a day.", fields={"second": "the same"})
    return Group(first), Group(second)


def _called(asked: dict[str, str], updates: Iterable[tuple[int, str]]) -> tuple[str, str]:
    """Both groups in words."""
    names = {str(update): title for update, title in updates}
    first, second = (names.get(asked[one], "all updates") for one in ("first", "second"))
    day = day_asked(asked["day"], "day")
    if day is None:
        return first, second
    return f"{first}, before {day_words(day)}", f"{first}, since {day_words(day)}"


def _update(asked: dict[str, str], name: str) -> int | None:
    return number_asked(asked[name], name)
