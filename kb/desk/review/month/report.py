"""The month on one page: by make and way, beside earlier months, and what failed on which piece."""

from __future__ import annotations

from datetime import date, timedelta

from kb.desk.context import Desk, lead_or_owner
from kb.desk.review.month.entries import Days, entries_of, modules
from kb.desk.review.month.gathering import gather
from kb.errors import BadInput
from kb.nouns.review.month import MonthReport
from kb.outcomes.month.adding_up import by_make_and_way, by_piece, figures, turned_away
from kb.outcomes.month.beside_earlier import as_old, compared, last_day, month_before, months_beside

EARLIEST = date(1990, 1, 1)


@lead_or_owner
def month_report(desk: Desk, month: date | None = None) -> MonthReport:
    """Of the month that this day is in; without one, of the last that is over.

    What earlier months stand beside it is as it was when they were as old. Raises BadInput for a month that
    has not begun.
    """
    first = (month or month_before(desk.today.replace(day=1))).replace(day=1)
    if not EARLIEST <= first <= desk.today:
        raise BadInput(
            f"Choose a month from {EARLIEST.year} on that has begun: nothing is told of others.",
            fields={"month": "one that has begun"},
        )
    now, before, year_before = (_days(one, first, desk.today) for one in months_beside(first))
    every = (now, before, year_before)
    found = gather(desk, year_before.span[0], now.span[1], [one.span for one in every])
    told = [entries_of(desk, found, one) for one in every]
    sums = [figures(one) for one in told]
    year = Days((now.span[1] - timedelta(days=364), now.span[1]), now.as_of)
    return MonthReport(
        first,
        now.span[1],
        desk.today,
        by_make_and_way(told[0]),
        sums[0],
        sums[1],
        sums[2],
        compared(sums[0], sums[1], sums[2], (now.count, before.count, year_before.count)),
        by_piece(told[0], tuple(modules(found, year))),
        turned_away(told[0]),
        told[0],
    )


def _days(other: date, first: date, today: date) -> Days:
    """The days of the month that began on `other`, up to when it was as old as that of `first` is today."""
    as_of = as_old(first, other, today)
    return Days((other, min(last_day(other), as_of)), as_of)
