"""Numbers and days in the words of the shop floor; examples by hand from the trade's usage."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.nouns.advice import CureRecord
from kb.nouns.chance_words import in_ten
from web import words
from web.advice_words import range_words, record_words, steady_words


@pytest.mark.parametrize(
    ("amount", "said"),
    [
        (268.4, "$268"),
        (1250.5, "$1,251"),
        (4.5, "$5"),
        (0.3, "under $1"),
        (0, "$0"),
        (-40, "−$40"),
        (None, "not known"),
    ],
)
def test_expected_costs_are_whole_dollars(amount: float | None, said: str) -> None:
    assert words.money(amount) == said


@pytest.mark.parametrize(
    ("minor", "currency", "said"),
    [(18050, "USD", "$180.50"), (9500, "USD", "$95"), (500, "JPY", "¥500"), (1005, "KWD", "KWD 1.005")],
)
def test_recorded_money_keeps_its_cents_by_the_currency(minor: int, currency: str, said: str) -> None:
    """Digits of JPY (0) and KWD (3): ISO 4217."""
    assert words.minor_money(minor, currency) == said


@pytest.mark.parametrize(
    ("chance", "said"),
    [(0.12, "12%"), (0.125, "13%"), (0, "0%"), (1, "100%"), (0.001, "under 1%"), (0.9999, "over 99%")],
)
def test_chances_are_whole_percents(chance: float, said: str) -> None:
    assert words.percent(chance) == said


@given(st.floats(0, 1, exclude_min=True, exclude_max=True))
def test_what_is_only_nearly_certain_never_reads_as_certain(chance: float) -> None:
    assert words.percent(chance) not in {"0%", "100%"}
    assert in_ten(chance) not in {"0 in 10", "10 in 10"}


def test_days_and_times_read_as_on_the_wall_of_the_shop() -> None:
    today = date(2026, 10, 31)
    morning = datetime(2026, 10, 31, 12, 40, tzinfo=UTC)  # 8:40 in New York, daylight time
    midnight = datetime(2026, 10, 31, 4, 5, tzinfo=UTC)
    assert words.day(today, today) == "Oct 31"
    assert words.day(date(2025, 1, 2), today) == "Jan 2, 2025"
    assert words.moment(morning, "America/New_York", today) == "today 8:40 AM"
    assert words.moment(midnight, "America/New_York", date(2026, 11, 2)) == "Oct 31 12:05 AM"


def test_a_vin_is_read_by_its_last_eight_and_waiting_is_not_work() -> None:
    assert words.last_eight("1ABCD23E4G5118341") == "…G5118341"
    assert words.minutes(12) == "12 min"
    assert words.minutes(4, 600) == "4 min + a night's wait"


def test_a_record_names_cured_and_not_and_never_a_fraction() -> None:
    assert record_words(CureRecord(11, 15)) == "11 cured, 4 not"
    assert steady_words(0.88) == "Solid call (88 of 100)."
    assert steady_words(0.55) == "Close call (55 of 100)."
    assert range_words((210, 480), "USD") == "Holds while diagnosis costs $210 to $480."
    assert range_words((0, None), "USD") == "Holds whatever the diagnosis costs."
