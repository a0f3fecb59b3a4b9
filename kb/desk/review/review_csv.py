"""The tables of the review as CSV files, whose cells no spreadsheet takes for formulas.

Chances are 0..1 and unrounded, money in whole units, days ISO dates.
"""

from __future__ import annotations

from collections.abc import Callable

from kb.desk.bay.advice.update_names import counted_names
from kb.desk.context import Desk, lead_or_owner
from kb.desk.csv_text import Table, written
from kb.desk.review import advice_report, comparison, curves, money_csv, reports, review_tables
from kb.desk.review.reports import ReportFilter
from kb.errors import NotFound
from kb.nouns.currency import to_major


@lead_or_owner
def table_csv(desk: Desk, name: str, asked: ReportFilter, note_id: int | None = None) -> str:
    """One table as text. Raises NotFound for an unknown name, or for a table of an update without its id."""
    if name in OF_AN_UPDATE and note_id is not None:
        if note_id not in counted_names(desk):
            raise NotFound("No reflash with this update is recorded.")
        return written(OF_AN_UPDATE[name](desk, note_id))
    if name not in TABLES:
        raise NotFound(f"There is no table {name!r}.")
    return written(TABLES[name](desk, asked))


def _reflashes(desk: Desk, asked: ReportFilter) -> Table:
    named = reports.reflash_report(desk, asked)
    counts = ("tried", "failed_at_road_test", "comebacks", "in_window", "overdue", "followed_to_window")
    head = (
        *("update", "title", *counts, "sold_or_updated_again", "cured_with_other_work"),
        *("cure_rate", "low", "high"),
        *(
            "rate_if_silence_is_fine",
            "shrunken_rate",
            "shrunken_low",
            "shrunken_high",
            "comeback_cost",
            "alarm",
            "worse_than_it_was",
        ),
    )
    rows = [
        (
            *(name or named.names[row.update or 0]),
            *(getattr(row, one) for one in counts),
            row.tried - sum(getattr(row, one) for one in counts[1:]),
            *(row.cured_with_other_work, row.cure_rate),
            *row.interval,
            row.rate_if_silence_is_fine,
            row.shrunken_rate,
            *row.shrunken_interval,
            to_major(row.comeback_cost, desk.shop.currency),
            *(one.sentence if one else "" for one in (row.alarm, row.worse_than_it_was)),
        )
        for name, row in (
            *((None, one) for one in named.report.best_first),
            *((("these together", ""), one) for one in (named.report.chosen,) if one is not None),
            (("shop", ""), named.report.shop),
        )
    ]
    return head, rows


def _funnel(desk: Desk, asked: ReportFilter) -> Table:
    found = review_tables.funnel_table(desk, asked)
    head = (
        *("update", "title", "known", "cure_rate", "low_by_luck", "high_by_luck", "outside", "too_early"),
        *("alarm", "shop_rate"),
    )
    return head, [
        (
            *(one.number, one.title, one.known, one.rate, one.low, one.high, one.flagged, one.too_early),
            *(one.alarm, found.target),
        )
        for one in found.points
    ]


def _months(desk: Desk, asked: ReportFilter) -> Table:
    head = ("month", "reflashes", "cured", "not_cured", "waiting", "not_asked", "ended", "with_other_work")
    return head, [
        (
            f"{one.month:%Y-%m}",
            *(one.reflashes, one.cured, one.not_cured, one.waiting, one.not_asked, one.ended, one.other_work),
        )
        for one in review_tables.month_table(desk, asked)
    ]


def _quarters(desk: Desk, asked: ReportFilter) -> Table:
    head = ("quarter", "known", "waiting", "cure_rate", "low", "high")
    return head, [
        (
            f"{one.first.year}-Q{one.first.month // 3 + 1}",
            *(one.known, one.waiting, one.rate, *((None, None) if one.rate is None else one.interval)),
        )
        for one in review_tables.quarter_table(desk, asked)
    ]


def comparison_csv(found: comparison.Compared, first: str, second: str) -> str:
    """Both groups by what they are called, then their difference with the conclusion that it bears."""
    head = (
        *("group", "reflashes", "cured", "not_cured", "waiting", "not_asked", "ended"),
        *("cure_rate", "low", "high", "log_rank_p", "conclusion"),
    )
    groups = [
        (
            *(name, told.reflashes, told.cured, told.failed, told.waiting, told.not_asked, told.ended),
            *(one.cure_rate, *(one.interval or (None, None)), None, "too early" if told.too_early else ""),
        )
        for name, one in ((first, found.first), (second, found.second))
        for told in [one.answers]
    ]
    both = found.comparison
    figures = (both.difference, *both.interval, both.p_value) if both else (None,) * 4
    difference = (f"{first} less {second}", *(None,) * 6, *figures, found.conclusion.value)
    return written((head, [*groups, difference]))


def _reliability(desk: Desk, _asked: ReportFilter) -> Table:
    head = ("said_from", "said_to", "concerns", "said_on_average", "cured", "low", "high")
    bins = advice_report.advice_report(desk).chances.bins
    return head, [(b.low, b.high, b.n, b.mean_chance, b.share_cured, *b.interval) for b in bins]


def _curve(desk: Desk, note_id: int) -> Table:
    head = ("day", "watched", "failed", "free_of_it", "low", "high")
    days = curves.update_curve(desk, note_id).days
    return head, [(one.day, one.at_risk, one.failed, one.cured, one.low, one.high) for one in days]


def _vehicles(desk: Desk, note_id: int) -> Table:
    head = (
        *("concern", "complaint", "make", "model", "year", "vin", "reflashed_on", "standing", "day"),
        *("day_known", "cost", "with_other_work", "chance_to_stay_fine"),
    )
    return head, [
        (
            *(one.concern.ref, one.concern.complaint, one.concern.vehicle.make, one.concern.vehicle.model),
            *(one.concern.vehicle.year, one.concern.vehicle.vin, one.reflashed_on),
            *(one.standing.name.lower(), one.days, one.day_known),
            *(to_major(one.cost_minor, desk.shop.currency), one.other_work, one.stays_fine),
        )
        for one in review_tables.vehicles_of_update(desk, note_id)
    ]


TABLES: dict[str, Callable[[Desk, ReportFilter], Table]] = {
    "reflashes": _reflashes,
    "funnel": _funnel,
    "months": _months,
    "quarters": _quarters,
    "money": money_csv.money,
    "needless": money_csv.needless,
    "subscriptions": money_csv.subscriptions,
    "subscriptions-by-make": money_csv.by_make,
    "subscriptions-next-time": money_csv.next_time,
    "savings": money_csv.savings,
    "reliability": _reliability,
}
OF_AN_UPDATE: dict[str, Callable[[Desk, int], Table]] = {"curve": _curve, "vehicles": _vehicles}
