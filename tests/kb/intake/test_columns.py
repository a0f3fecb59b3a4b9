"""What the columns of a shop's own table could be, and days in the order that the shop writes them."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import BadInput
from kb.intake import history
from kb.intake.columns import columns_of, refuse_double, suggest
from kb.intake.days import iso_days, order_of
from kb.intake.rows import ReadOptions
from kb.nouns.imports import DaysWritten

TODAY = date(2026, 6, 1)


def test_usual_names_slips_and_spaces_are_recognised_and_strange_ones_left_out() -> None:
    # Column names as shops write them: common practice, no source.
    names = ["RO #", "Date Opened", "complant", "Mileage", "TSB", "date-reflashed", "Tech pay", "VIN"]
    assert suggest(names, history.COLUMNS) == {
        "RO #": "ro_number",
        "Date Opened": "opened_on",
        "complant": "complaint",
        "Mileage": "odometer",
        "TSB": "update",
        "date-reflashed": "reflashed_on",
        "Tech pay": "",
        "VIN": "vin",
    }


def test_what_the_shop_chose_before_goes_before_what_a_name_suggests() -> None:
    before = {"Mileage": "", "Ticket": "ro_number", "gone": "no_such_column"}
    found = suggest(["mileage", "Ticket", "RO", "gone"], history.COLUMNS, before)
    assert (found["mileage"], found["Ticket"], found["RO"], found["gone"]) == ("", "ro_number", "", "")


@given(
    st.lists(st.sampled_from([*history.COLUMNS, "mileage", "odo", "Miles", "ro", "x", "costt"]), unique=True)
)
def test_no_two_columns_are_suggested_for_one_and_our_own_names_stay(names: list[str]) -> None:
    found = suggest(names, history.COLUMNS)
    given_out = [ours for ours in found.values() if ours]
    assert len(given_out) == len(set(given_out))
    assert all(found[name] == name for name in names if name in history.COLUMNS)
    refuse_double(found)


def test_two_columns_read_as_one_are_refused_by_name() -> None:
    with pytest.raises(BadInput, match=r"read as update: “TSB” and “Bulletin”"):
        refuse_double({"TSB": "update", "note": "", "Bulletin": "update", "x": ""})


def test_examples_are_the_first_different_values_that_say_something() -> None:
    file = b"RO,Note\n1,\n1, a\n2,\n3,a\n4,b\n"
    assert [(one.name, one.examples) for one in columns_of(file)] == [
        ("RO", ("1", "2", "3")),
        ("Note", ("a", "b")),
    ]


def test_a_column_can_be_left_out_though_it_has_one_of_our_names() -> None:
    file = b"ro_number,complaint,codes\n1,stalls,not a code\n"
    read = list(history.read(file, ReadOptions(TODAY, {"codes": ""})))
    assert read[0] == history.HistoryRow(file_line=2, ro_number="1", complaint="stalls")


@given(st.dates(date(2000, 1, 1), date(2099, 12, 31)), st.booleans(), st.sampled_from("/.-"))
def test_a_day_is_read_in_the_order_that_was_chosen(day: date, short: bool, sign: str) -> None:
    year = f"{day:%y}" if short else f"{day:%Y}"
    for order, parts in (
        (DaysWritten.MONTH_FIRST, (day.month, day.day, year)),
        (DaysWritten.DAY_FIRST, (day.day, day.month, year)),
    ):
        text = sign.join(str(one) for one in parts)
        dotted = (
            order is DaysWritten.MONTH_FIRST and sign == "."
        )  # stands the other way round: left to be refused
        read = text if dotted else day.isoformat()
        assert iso_days({"on": text, "no": text}, ("on",), order) == {"on": read, "no": text}
        assert iso_days({"on": text}, ("on",), DaysWritten.YEAR_FIRST) == {"on": text}
    assert iso_days({"on": day.isoformat()}, ("on",), DaysWritten.DAY_FIRST) == {"on": day.isoformat()}


def test_days_tell_their_order_only_where_one_of_them_can_be_read_in_one_way() -> None:
    assert order_of(["3/4/2026", "3/14/2026"]) is DaysWritten.MONTH_FIRST
    assert order_of(["3/4/2026", "14/3/2026"]) is DaysWritten.DAY_FIRST
    assert order_of(["3/4/2026", "2026-03-14", "soon"]) is DaysWritten.YEAR_FIRST
    assert order_of(["3.4.2026"]) is DaysWritten.DAY_FIRST
    assert order_of([]) is DaysWritten.YEAR_FIRST


def test_a_history_with_the_shop_s_own_names_and_days_reads_as_one_with_ours() -> None:
    ours = b"ro_number,complaint,update,reflashed_on\n12,bucks,N-1,2026-03-31\n"
    theirs = b"Ticket;What;TSB;Done\n12;bucks;N-1;3/31/26\n"
    columns = {"Ticket": "ro_number", "What": "complaint", "TSB": "update", "Done": "reflashed_on"}
    asked = ReadOptions(TODAY, columns, DaysWritten.MONTH_FIRST)
    assert list(history.read(theirs, asked)) == list(history.read(ours, ReadOptions(TODAY)))
