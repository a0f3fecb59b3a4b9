"""The month as a CSV file: a row for each thing that it is added up from; amounts in whole units."""

from __future__ import annotations

from datetime import date

from kb.desk.context import Desk, lead_or_owner
from kb.desk.csv_text import Cell, Table, written
from kb.desk.review.month.entries import KINDS
from kb.desk.review.month.report import month_report
from kb.nouns.currency import to_major
from kb.nouns.review.month import Entry

_PIECES = ("device", "computer", "support_unit")
HEAD = (
    *("what", "day", "make", "way", "repair_order", "told", "amount", "of_comeback", "minutes"),
    *(name for piece in _PIECES for name in (piece, f"{piece}_version")),
)


@lead_or_owner
def month_csv(desk: Desk, month: date | None = None) -> tuple[date, str]:
    """The first day of the month, and its rows as text. Adding them up gives the figures of the report."""
    report = month_report(desk, month)
    table: Table = HEAD, [_row(one, desk.shop.currency) for one in report.entries]
    return report.first, written(table)


def _row(one: Entry, currency: str) -> tuple[Cell, ...]:
    back = "yes" if one.of_comeback else None
    amount = to_major(one.minor, currency) if one.what.value in _PRICED else None
    used = {piece.kind: (piece.name, piece.version) for piece in one.pieces}
    with_what = (cell for kind in KINDS for cell in used.get(kind, (None, None)))
    told = (one.what.value, one.on, one.make, one.way, one.ref, one.told)
    return (*told, amount, back, one.minutes, *with_what)


_PRICED = ("billed", "credited", "cost", "subscription")
