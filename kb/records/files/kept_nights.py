"""Which nightly copies are kept: pure, by their nights."""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable
from datetime import date, datetime, time, timedelta, tzinfo

DAYS, WEEKS, MONTHS = 7, 4, 12
NIGHT_BEGINS = timedelta(hours=2)
"""The shop's local hour from which a copy belongs to the night of that day."""


def night_of(moment: datetime, zone: tzinfo) -> date:
    """The day whose night this is: before 2 AM it is still that of the day before."""
    return (moment.astimezone(zone) - NIGHT_BEGINS).date()


def begin_of(night: date, zone: tzinfo) -> datetime:
    """The moment from which a copy belongs to that night."""
    return datetime.combine(night, time.min, zone) + NIGHT_BEGINS


def to_keep(nights: Collection[date]) -> frozenset[date]:
    """The nights whose copies stay: the newest 7, the last of the newest 4 weeks, of the newest 12 months.

    Nights without a copy count for nothing: a shop that was closed for a month loses none by that. The last
    of a week or month and not the first, so that thinning every night keeps what thinning once at the end
    would keep.
    """
    return (
        _last_of_newest(nights, lambda night: night, DAYS)
        | _last_of_newest(nights, lambda night: night.isocalendar()[:2], WEEKS)
        | _last_of_newest(nights, lambda night: (night.year, night.month), MONTHS)
    )


def _last_of_newest(
    nights: Collection[date], span_of: Callable[[date], Hashable], spans: int
) -> frozenset[date]:
    last = {span_of(night): night for night in sorted(nights)}
    return frozenset(sorted(last.values(), reverse=True)[:spans])
