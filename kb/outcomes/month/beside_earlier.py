"""A month beside the one before and the same of the year before: as each stood when it was as old."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Callable
from datetime import date, timedelta

from kb.nouns.review.month import Compared, Figures, Then
from kb.outcomes.month.luck import luck_of_counts, luck_of_shares

NOTHING_THEN = "nothing on file then"
Months = tuple[date, date, date]


def months_beside(first: date) -> Months:
    """The first days of the month, of the one before, and of the same a year before."""
    return first, month_before(first), first.replace(year=first.year - 1)


def month_before(first: date) -> date:
    return (first - timedelta(days=1)).replace(day=1)


def last_day(first: date) -> date:
    return first.replace(day=monthrange(first.year, first.month)[1])


def as_old(first: date, other: date, as_of: date) -> date:
    """The day on which the month that began on `other` was as old as that of `first` is on `as_of`."""
    return other + (as_of - first)


def compared(
    now: Figures, before: Figures, year_before: Figures, days: tuple[int, int, int]
) -> tuple[Compared, ...]:
    """`days`: how many days of each month are counted."""
    then = ((before, days[1]), (year_before, days[2]))
    return tuple(
        Compared(
            name, count(now), of(now) if of else None, *(_then(now, days[0], *one, count, of) for one in then)
        )
        for name, count, of in _MEASURES
    )


Measure = Callable[[Figures], int]


def _then(
    now: Figures, days_now: int, then: Figures, days_then: int, count: Measure, of: Measure | None
) -> Then:
    if then == Figures():
        return Then(0, 0 if of else None, NOTHING_THEN)
    if of is None:
        return Then(count(then), None, luck_of_counts(count(now), count(then), days_now, days_then))
    return Then(count(then), of(then), luck_of_shares(count(now), of(now), count(then), of(then)))


_MEASURES: tuple[tuple[str, Measure, Measure | None], ...] = (
    ("programming events", lambda one: one.sittings, None),
    ("modules that failed, of those tried", lambda one: one.failed, lambda one: one.tried),
    (
        "reflashes not cured at road test",
        lambda one: one.not_cured_at_road_test,
        lambda one: one.reflashes,
    ),
    ("comebacks and other causes so far", lambda one: one.comebacks, lambda one: one.reflashes),
    ("concerns turned away", lambda one: one.turned_away, None),
)
