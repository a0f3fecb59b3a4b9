"""Which nights are kept, against a slow twin, and thinned every night against thinned once."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from kb.records.files.kept_nights import night_of, to_keep

NIGHTS = st.sets(st.dates(date(2024, 1, 1), date(2027, 12, 31)), max_size=120)


def slow_twin(nights: set[date]) -> set[date]:
    """The sentence of the page, night by night: 7 nights, 4 weeks (Monday to Sunday), 12 months."""
    kept = set()
    for night in nights:
        later = {other for other in nights if other > night}
        monday = night - timedelta(days=night.weekday())
        weeks = {other - timedelta(days=other.weekday()) for other in later}
        months = {(other.year, other.month) for other in later}
        if len(later) < 7:
            kept.add(night)
        if monday not in weeks and len(weeks) < 4:
            kept.add(night)
        if (night.year, night.month) not in months and len(months) < 12:
            kept.add(night)
    return kept


@given(NIGHTS)
def test_what_is_kept_is_what_the_sentence_says(nights: set[date]) -> None:
    assert to_keep(nights) == slow_twin(nights)


@given(NIGHTS)
def test_thinning_every_night_keeps_what_thinning_once_would(nights: set[date]) -> None:
    kept: set[date] = set()
    for night in sorted(nights):
        kept = set(to_keep(kept | {night}))
    assert kept == to_keep(nights)


def test_two_years_of_nights_leave_copies_by_hand_counted() -> None:
    """To Wednesday 2026-11-25: 19 to 25; Sundays 22 (in them), 15, 8; 11 month ends from 2025-12-31."""
    first = date(2024, 11, 26)
    nights = [first + timedelta(days=number) for number in range(730)]
    days = {date(2026, 11, day) for day in range(19, 26)}
    sundays = {date(2026, 11, 8), date(2026, 11, 15)}
    ends = {date(2026, month, 1) - timedelta(days=1) for month in range(1, 12)}
    assert to_keep(nights) == days | sundays | ends
    assert len(to_keep(nights)) == 20


def test_before_two_in_the_morning_it_is_still_the_night_of_the_day_before() -> None:
    """New York is five hours behind UTC in November 2026 (IANA zone database)."""
    zone = ZoneInfo("America/New_York")
    assert night_of(datetime(2026, 11, 30, 6, 59, tzinfo=UTC), zone) == date(2026, 11, 29)
    assert night_of(datetime(2026, 11, 30, 7, 0, tzinfo=UTC), zone) == date(2026, 11, 30)
