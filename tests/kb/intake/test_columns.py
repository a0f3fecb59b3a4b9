"""What the columns of a shop's own table could be, and days in the order that the shop writes them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import BadInput
from kb.intake.columns import FileColumn, columns_of, own_table, refuse_double, suggest
from kb.intake.days import iso_days, order_of
from kb.intake.history import history
from kb.intake.history.history_row import HistoryRow
from kb.intake.rows import ReadOptions, RowError, Severity
from kb.nouns.imports import DaysWritten

TODAY = date(2026, 6, 1)


def named(*names: str) -> list[FileColumn]:
    return [FileColumn(name, ()) for name in names]


def read_as(file: bytes) -> dict[str, str]:
    return suggest(columns_of(own_table(file)), history.COLUMNS)


def test_usual_names_slips_and_spaces_are_recognised_and_strange_ones_left_out() -> None:
    # Column names as shops write them: common practice, no source.
    names = ["RO #", "Date Opened", "complant", "Mileage", "TSB", "date-reflashed", "Tech pay", "VIN"]
    assert suggest(named(*names), history.COLUMNS) == {
        "RO #": "ro_number",
        "Date Opened": "opened_on",
        "complant": "complaint",
        "Mileage": "odometer",
        "TSB": "update",
        "date-reflashed": "reflashed_on",
        "Tech pay": "",
        "VIN": "vin",
    }


def test_names_of_shop_spreadsheets_are_recognised_whatever_signs_stand_in_them() -> None:
    # Column names as shops write them: common practice, no source.
    file = b"""RO#,Flash date,Gone?,Customer concern,Mileage in,TSB #,Eng,Tech,Cause,Old cal ID
1,3/1/2026,Fixed,bucks,80000,N-1,2.0,Ines,software,A1
2,3/2/2026,no good,stalls,80000,N-1,2.0,Ines,software,A1
"""
    assert read_as(file) == {
        "RO#": "ro_number",
        "Flash date": "reflashed_on",
        "Gone?": "gone_at_road_test",
        "Customer concern": "complaint",
        "Mileage in": "odometer",
        "TSB #": "update",
        "Eng": "engine",
        "Tech": "",  # nobody is ranked by a history, and a cause stands on every RO
        "Cause": "",
        "Old cal ID": "calibration_before",
    }


@pytest.mark.parametrize(
    ("column", "values", "ours"),
    [
        ("Flashed", ("3/1/26", "2026-03-02"), "reflashed_on"),
        ("Flashed", ("yes", "no"), ""),
        ("Result", ("good", "OK", "not fixed"), "gone_at_road_test"),
        ("Result", ("good", "sent to dealer"), ""),
        ("Fixed?", ("Yes", "No"), "gone_at_road_test"),
        ("Fixed", ("3/1/2026",), ""),
        ("Comeback", ("4/1/2026",), "returned_on"),
        ("Comeback", ("yes", "no"), "came_back"),
        ("Came back?", ("Y", "N", "n/a", "sold"), "came_back"),
        ("Comeback", ("4/1/2026", "no", "unknown"), "returned_on"),
        ("Comeback", ("yes", "see notes"), ""),
        ("Result", ("came back", "sold", "cured", "other cause"), "event"),
        ("Outcome", ("cured", "sent to dealer", "came back"), "event"),
        ("Status", ("closed", "invoiced"), ""),
        ("Verified", ("yes", "CND"), "duplicated_before"),
    ],
)
def test_a_name_that_may_mean_two_things_is_taken_only_where_its_values_fit(
    column: str, values: tuple[str, ...], ours: str
) -> None:
    assert suggest([FileColumn(column, values)], history.COLUMNS) == {column: ours}


def test_a_second_column_of_one_name_is_told_apart_seen_and_never_guessed() -> None:
    file = b"RO,Date,concern,date,Mileage,mileage,Date (2)\n1,a,bucks,b,1,2,c\n"
    columns = columns_of(own_table(file))
    assert [(one.name, one.examples) for one in columns] == [
        ("RO", ("1",)),
        ("Date", ("a",)),
        ("concern", ("bucks",)),
        ("date (3)", ("b",)),
        ("Mileage", ("1",)),
        ("mileage (2)", ("2",)),
        ("Date (2)", ("c",)),
    ]
    found = suggest(columns, history.COLUMNS)
    assert (found["Mileage"], found["mileage (2)"], found["date (3)"]) == ("odometer", "", "")


def test_each_of_two_columns_of_one_name_can_be_read_as_what_it_is() -> None:
    file = b"ro_number,complaint,update,Date,Date\n1,bucks,N-1,2026-03-01,2026-03-02\n"
    both = {"Date": "opened_on", "Date (2)": "reflashed_on"}
    row, summary = history.read(file, ReadOptions(TODAY, both))
    assert isinstance(row, history.HistoryRow)
    assert (row.opened_on, row.reflashed_on) == (date(2026, 3, 1), date(2026, 3, 2))
    assert (summary.rows, summary.warnings) == (1, 0)  # type: ignore[union-attr]


def test_a_second_column_that_nobody_chose_is_left_out_with_a_warning_that_names_it() -> None:
    file = b"ro_number,complaint,RO Number,odometer\n1,bucks,9,80000\n"
    warning, row, _summary = history.read(file, ReadOptions(TODAY))
    assert isinstance(warning, RowError)
    assert (warning.line, warning.field, warning.severity) == (1, "RO Number (2)", Severity.WARNING)
    assert "\u201cro_number\u201d, which is the one that was read" in warning.message
    assert row == history.HistoryRow(file_line=2, ro_number="1", complaint="bucks", odometer=80_000)
    left_out = ReadOptions(TODAY, {"RO Number (2)": ""})
    told = [one for one in history.read(file, left_out) if isinstance(one, RowError)]
    assert [one.severity for one in told] == [Severity.NOTICE]


def test_a_header_that_stands_again_further_down_is_no_row() -> None:
    file = b"ro_number,complaint,Date,Date\n1,bucks,,\nro_number,complaint,Date,Date\n2,stalls,,\n"
    rows = [one for one in history.read(file, ReadOptions(TODAY)) if isinstance(one, history.HistoryRow)]
    assert [one.ro_number for one in rows] == ["1", "2"]


def test_what_the_shop_chose_before_goes_before_what_a_name_suggests() -> None:
    before = {"Mileage": "", "Ticket": "ro_number", "gone": "no_such_column"}
    found = suggest(named("mileage", "Ticket", "RO", "gone"), history.COLUMNS, before)
    assert (found["mileage"], found["Ticket"], found["RO"], found["gone"]) == (
        "",
        "ro_number",
        "",
        "gone_at_road_test",
    )


@given(
    st.lists(st.sampled_from([*history.COLUMNS, "mileage", "odo", "Miles", "ro", "x", "costt"]), unique=True)
)
def test_no_two_columns_are_suggested_for_one_and_our_own_names_stay(names: list[str]) -> None:
    found = suggest(named(*names), history.COLUMNS)
    given_out = [ours for ours in found.values() if ours]
    assert len(given_out) == len(set(given_out))
    assert all(found[name] == name for name in names if name in history.COLUMNS)
    refuse_double(found)


def test_two_columns_read_as_one_are_refused_by_name() -> None:
    with pytest.raises(BadInput, match=r"read as update: “TSB” and “Bulletin”"):
        refuse_double({"TSB": "update", "note": "", "Bulletin": "update", "x": ""})


def test_examples_are_the_first_different_values_that_say_something() -> None:
    file = b"RO,Note\n1,\n1, a\n2,\n3,a\n4,b\n"
    assert [(one.name, one.examples) for one in columns_of(own_table(file))] == [
        ("RO", ("1", "2", "3")),
        ("Note", ("a", "b")),
    ]


def test_a_column_can_be_left_out_though_it_has_one_of_our_names() -> None:
    file = b"ro_number,complaint,codes\n1,stalls,not a code\n"
    read = list(history.read(file, ReadOptions(TODAY, {"codes": ""})))
    assert read[1] == history.HistoryRow(file_line=2, ro_number="1", complaint="stalls")


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


@pytest.mark.parametrize("name", ["Correction", "Work Performed", "TECH NOTES", "resolution", "Repair done"])
def test_what_a_technician_wrote_of_the_job_is_kept_with_its_row_and_counts_nothing(name: str) -> None:
    file = f'RO,Concern,{name}\n1,slips,"reprogrammed the TCM, came back"\n2,slips,\n'.encode()
    columns = read_as(file)
    assert columns[name] == "work_done"
    first, second = (
        one for one in history.read(file, ReadOptions(TODAY, columns)) if isinstance(one, HistoryRow)
    )
    assert (first.work_done, second.work_done) == ("reprogrammed the TCM, came back", "")
    assert (first.reflashed_on, first.failed) == (None, False)
    assert first.identity == replace(first, work_done="").identity, "a corrected wording is the same row"
