"""Days as people and spreadsheets write them.

Serial numbers are those that Microsoft publishes as examples (support.microsoft.com, "DATEVALUE function"):
January 1, 2008 is 39448. From memory.
"""

from __future__ import annotations

import calendar
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.intake.days import iso_day, order_of
from kb.nouns.imports import DaysWritten

MONTH, DAY, YEAR = DaysWritten.MONTH_FIRST, DaysWritten.DAY_FIRST, DaysWritten.YEAR_FIRST
MONTHS = list(calendar.month_name)[1:]


@pytest.mark.parametrize(
    ("serial", "day"),
    [
        ("39448", "2008-01-01"),
        ("40777", "2011-08-22"),
        ("40685", "2011-05-22"),
        ("40597", "2011-02-23"),
        ("40777.75", "2011-08-22"),
    ],
)
def test_serial_numbers_are_those_of_the_spreadsheet(serial: str, day: str) -> None:
    assert iso_day(serial, YEAR) == day


@given(st.dates(date(1955, 1, 1), date(2099, 12, 31)))
def test_a_serial_number_counts_days_as_python_does(day: date) -> None:
    """The twin: ordinals of Python, whose day 693,594 is 1899-12-30."""
    assert iso_day(str(day.toordinal() - 693_594), MONTH) == day.isoformat()


@given(st.dates(date(2000, 1, 1), date(2099, 12, 31)), st.sampled_from(DaysWritten))
def test_a_day_that_can_mean_one_thing_is_read_whatever_the_order(day: date, order: DaysWritten) -> None:
    name, short = MONTHS[day.month - 1], MONTHS[day.month - 1][:3]
    for text in (
        f"{day.day:02}-{short}-{day.year}",
        f"{day.day}-{short.upper()}-{day:%y}",
        f"{short} {day.day}, {day.year}",
        f"{name} {day.day} {day.year}",
        f"{day.day} {name} {day.year}",
        f"{day.day}. {short} {day.year}",
        f"{day.year}/{day.month:02}/{day.day:02}",
        f"{day.year}-{short}-{day.day:02}",
        f"{day.year}.{day.month}.{day.day}",
        f"{day:%Y%m%d}",
        f"{day.isoformat()} 14:05:33",
        f"{day.isoformat()}T14:05:33Z",
        f"{short} {day.day}, {day.year} 2:05 PM",
        f"{day:%A}, {name} {day.day}, {day.year}",
    ):
        assert iso_day(text, order) == day.isoformat(), text


@given(
    st.dates(date(2000, 1, 1), date(2099, 12, 31)),
    st.sampled_from("/-."),
    st.sampled_from(["", " 0:00", " 2:05 PM", " 14:05:33"]),
)
def test_figures_are_read_in_their_order_and_only_in_it(day: date, sign: str, time: str) -> None:
    for order, parts in ((MONTH, (day.month, day.day)), (DAY, (day.day, day.month))):
        text = f"{parts[0]}{sign}{parts[1]}{sign}{day.year}{time}"
        assert iso_day(text, YEAR) == text
        if not (order is MONTH and sign == "."):
            assert iso_day(text, order) == day.isoformat()
            assert iso_day(f"yes - {text}", order) == f"yes - {day.isoformat()}"


@pytest.mark.parametrize(
    "text", ["soon", "2/31/2025", "31-Feb-2025", "13/45/2025", "20251345", "Mar 31", "3/31", "2O25-03-31"]
)
@pytest.mark.parametrize("order", DaysWritten)
def test_what_no_calendar_holds_stays_for_the_reader_to_refuse(text: str, order: DaysWritten) -> None:
    assert iso_day(text, order) == text


def test_a_few_slips_do_not_turn_the_order_of_a_file() -> None:
    assert order_of(["3/14/2026 8:00", "yes - 3/15/26", "14/3/2026"]) is MONTH
    assert order_of(["14/3/2026", "15.3.26", "3/15/2026"]) is DAY
    assert order_of(["14/3/2026", "3/14/2026"]) is YEAR
