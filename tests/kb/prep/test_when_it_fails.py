"""The sheet for when programming fails: the clock, what is missing, and the sentence for the customer."""

from __future__ import annotations

from datetime import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import BadInput
from kb.nouns.bay.failure_sheets import FailureSheetDraft
from kb.nouns.days import time_words
from kb.prep.when_it_fails import read_clock, told_customer, too_late, when_it_fails


@pytest.mark.parametrize(
    ("now", "said"),
    [
        (time(15, 30), ""),
        (time(15, 31), "It is 3:31 PM; the latest start is 3:30 PM: tomorrow."),
        (time(16, 10), "It is 4:10 PM; the latest start is 3:30 PM: tomorrow."),
        (time(7, 0), ""),
    ],
)
def test_after_the_latest_start_it_is_tomorrow(now: time, said: str) -> None:
    assert too_late("15:30", now) == said
    assert too_late("", now) == ""


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("3:30 PM", "15:30"),
        ("3:30p", "15:30"),
        ("15:30", "15:30"),
        ("9", "09:00"),
        ("12 am", "00:00"),
        ("12:15 p.m.", "12:15"),
        ("  ", ""),
    ],
)
def test_a_time_of_day_is_read_as_people_write_it(typed: str, kept: str) -> None:
    assert read_clock(typed) == kept


@pytest.mark.parametrize("typed", ["25:00", "3:75", "noon", "13 PM", "15.30", "0 am"])
def test_what_is_no_time_of_day_is_refused(typed: str) -> None:
    with pytest.raises(BadInput, match="3:30 PM"):
        read_clock(typed)


@given(st.times())
def test_a_time_that_is_shown_is_read_back(at: time) -> None:
    assert read_clock(time_words(at)) == f"{at:%H:%M}"


def test_what_nobody_entered_is_named_and_the_customer_is_told_what_is_known() -> None:
    bare = when_it_fails("Tarn", None, time(16, 10))
    assert (len(bare.missing), bare.too_late, "new one" in bare.tell_customer) == (6, "", False)
    some = FailureSheetDraft("Tarn", support_line="555-0142", module_price_minor=81_200, module_days=1)
    assert when_it_fails("Tarn", some, time(16, 10)).missing == (
        "its hours",
        "latest start of the day",
        "who tows",
    )
    assert told_customer(some, "$812").endswith("a new one costs $812 and takes 1 day.")
    assert (
        told_customer(FailureSheetDraft("Tarn", customer_sentence="We call at noon.")) == "We call at noon."
    )
