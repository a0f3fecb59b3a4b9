from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from kb.errors import Unreadable
from kb.intake.history.history import COLUMNS
from kb.nouns.concerns import Duplicated, FollowUpResult, RoadTest
from tests.kb.intake.reading import Result, read

# The sample of 49 CFR 565.15 table V with its check digit.
VIN = "1G4AH59H45G118341"
FULL = {
    "ro_number": "2087",
    "line": "A",
    "opened_on": "2026-03-01",
    "vin": VIN,
    "make": "Norvane",
    "model": "Alto",
    "year": "2005",
    "engine": "2.5L",
    "odometer": "84,210",
    "complaint": "bucks uphill, worse when warm",
    "codes": "p0171 00; U0100-87",
    "module": "PCM",
    "calibration_before": "NV1A",
    "calibration_after": "NV1B",
    "update": "NB-24-011",
    "event": "E-17",
    "reflashed_on": "2026-03-02",
    "duplicated_before": "yes",
    "gone_at_road_test": "yes",
    "other_work": "no",
    "returned_on": "",
    "last_seen_on": "2026-06-30",
    "other_cause": "",
    "cost": "128.50",
}


def history(*rows: dict[str, str], columns: tuple[str, ...] = COLUMNS) -> bytes:
    lines = [",".join(f'"{row.get(c, "")}"' for c in columns) for row in rows]
    return "\r\n".join([",".join(columns), *lines, ""]).encode()


def one(**changes: str) -> Result:
    return read("history", history(FULL | changes))


def test_a_full_row_is_read_field_by_field() -> None:
    (row,) = one().rows
    assert (row.ro_number, row.line, row.file_line, row.vin, row.year) == ("2087", "A", 2, VIN, 2005)
    assert (row.opened_on, row.reflashed_on) == (date(2026, 3, 1), date(2026, 3, 2))
    assert (row.odometer, row.cost) == (84_210, Decimal("128.50"))
    assert row.codes == ("P0171-00", "U0100-87")
    assert (row.duplicated_before, row.gone_at_road_test) == (Duplicated.YES, RoadTest.GONE)
    assert (row.other_work, row.returned_on, row.last_seen_on) == ((), None, date(2026, 6, 30))
    assert (row.event, row.came_of_it) == ("E-17", None)
    assert one().warnings == []


def test_absent_columns_and_empty_cells_are_not_known() -> None:
    short = read("history", b"ro_number,complaint\n2087,bucks\n").rows[0]
    empty = read("history", history({"ro_number": "2087", "complaint": "bucks"})).rows[0]
    assert short == empty
    assert (short.vin, short.year, short.reflashed_on, short.cost, short.gone_at_road_test) == (
        "",
        None,
        None,
        None,
        None,
    )
    assert short.duplicated_before is Duplicated.YES, "empty counts as duplicated"


@pytest.mark.parametrize(
    ("header", "missing"),
    [
        (b"complaint,update", "ro_number is"),
        (b"ro_number,vin", "complaint is"),
        (b"vin,make", "ro_number, complaint are"),
    ],
)
def test_a_required_column_that_is_missing_is_named(header: bytes, missing: str) -> None:
    with pytest.raises(Unreadable, match=missing):
        read("history", header + b"\n1,2\n")


def test_columns_may_stand_in_any_order_spelling_and_under_the_shops_own_names() -> None:
    data = b"Last-Seen On,Customer says,RO NUMBER,ignored\n2026-06-30,bucks,2087,x\n"
    (row,) = read("history", data, {"customer says": "complaint"}).rows
    assert (row.ro_number, row.complaint, row.last_seen_on) == ("2087", "bucks", date(2026, 6, 30))


@pytest.mark.parametrize(
    ("column", "text", "says"),
    [
        ("opened_on", "3/1/2026", "2026-03-31"),
        ("reflashed_on", "2026-02-30", "2026-03-31"),
        ("codes", "P0171, P13", "P13"),
        ("year", "2028", "1886 and 2027"),
        ("year", "abc", "whole number"),
        ("odometer", "-5", "whole number"),
        ("cost", "about 100", "128.50"),
        ("cost", "NaN", "128.50"),
        ("duplicated_before", "maybe", "yes, no"),
        ("gone_at_road_test", "sort of", "cannot say"),
        ("vin", "1G4AH59H45G11834", "16 characters"),
        ("vin", "1G4AH59H45G11834O", "letter O"),
        ("returned_on", "2026-03-01", "before the reflash"),
    ],
)
def test_a_field_that_cannot_be_read_keeps_the_row_out_and_says_how_to_write_it(
    column: str, text: str, says: str
) -> None:
    result = one(**{column: text})
    assert result.rows == []
    assert [(e.line, e.field) for e in result.errors] == [(2, column)]
    assert says in result.errors[0].message


def test_all_that_is_wrong_with_a_row_is_told_at_once_and_the_next_row_is_still_read() -> None:
    result = read("history", history(FULL | {"cost": "x", "codes": "P13"}, FULL))
    assert [e.field for e in result.errors] == ["codes", "cost"]
    assert len(result.rows) == 1


@pytest.mark.parametrize(
    ("column", "text", "says"),
    [
        ("last_seen_on", "2026-11-26", "future"),
        ("vin", "1G4AH59H55G118341", "check digit"),
        ("last_seen_on", "2026-03-01", "before the reflash"),
        ("opened_on", "2026-03-03", "before the RO"),
        ("update", "", "no bulletin"),
    ],
)
def test_what_is_odd_warns_and_lets_the_row_in(column: str, text: str, says: str) -> None:
    result = one(**{column: text})
    assert len(result.rows) == 1
    assert result.errors == []
    assert says in result.warnings[0].message


def test_marks_that_the_miles_are_not_known_are_no_faults_and_told_once() -> None:
    marks = ("exempt", "TMU", "n/a", "unk", "61200")
    result = read("history", history(*(FULL | {"odometer": one, "ro_number": one} for one in marks)))
    assert [one.odometer for one in result.rows] == [None, None, None, None, 61_200]
    assert (result.errors, result.warnings) == ([], [])
    [told] = [one for one in result.notices if one.field == "odometer"]
    assert "1 “exempt”, 1 “TMU”, 1 “n/a”, 1 “unk”" in told.message


def test_a_comeback_on_the_very_day_is_possible() -> None:
    assert one(returned_on="2026-03-02").rows[0].returned_on == date(2026, 3, 2)


def test_today_is_no_future() -> None:
    assert one(last_seen_on="2026-11-25").warnings == []


def test_a_row_needs_something_to_be_known_by_and_something_to_say() -> None:
    assert one(ro_number="", vin="").errors[0].field == "ro_number"
    assert one(complaint="", update="").errors[0].field == "complaint"
    assert one(ro_number="").rows
    assert one(vin="").rows


@pytest.mark.parametrize("column", ["ro_number", "line", "vin", "complaint", "update", "reflashed_on"])
def test_rows_are_one_where_all_six_fields_of_their_identity_agree(column: str) -> None:
    values = {"vin": "1M8GDM9AXKP042788", "reflashed_on": "2026-03-05"}
    other = FULL | {column: values.get(column, "other"), "year": ""}
    result = read("history", history(FULL | {"year": ""}, other))
    assert (len(result.rows), result.summary.doubles) == (2, 0)


def test_a_row_that_comes_again_in_other_spacing_and_case_is_counted_as_a_double() -> None:
    again = FULL | {"complaint": "Bucks  uphill, worse when WARM", "cost": "5"}
    result = read("history", history(FULL, again))
    assert (len(result.rows), result.summary.doubles, result.summary.rows) == (1, 1, 2)


@pytest.mark.parametrize(
    ("word", "event", "came_of_it"),
    [
        ("", "", None),
        ("none", "", None),
        ("OK", "", FollowUpResult.FINE),
        ("cured", "", FollowUpResult.FINE),
        ("comeback", "", FollowUpResult.CAME_BACK),
        ("Other-cause", "", FollowUpResult.OTHER_CAUSE),
        ("new_complaint", "", FollowUpResult.NEW_COMPLAINT),
        ("updated_by_air", "", FollowUpResult.UPDATED_BY_AIR),
        ("sold", "", FollowUpResult.SOLD),
        ("no answer", "", FollowUpResult.NO_ANSWER),
        ("E-17", "E-17", None),
        ("41", "41", None),
    ],
)
def test_the_event_column_names_the_sitting_or_says_what_came_of_it(
    word: str, event: str, came_of_it: FollowUpResult | None
) -> None:
    (row,) = one(event=word).rows
    assert (row.event, row.came_of_it) == (event, came_of_it)


@pytest.mark.parametrize("result", list(FollowUpResult))
def test_every_follow_up_word_of_the_api_is_understood(result: FollowUpResult) -> None:
    assert one(event=result.value).rows[0].came_of_it is result


@pytest.mark.parametrize(
    ("word", "road_test"),
    [
        ("no", RoadTest.STILL_THERE),
        ("", None),
        ("cannot say", RoadTest.CANNOT_SAY),
        ("still_there", RoadTest.STILL_THERE),
        ("Fixed", RoadTest.GONE),
        ("good", RoadTest.GONE),
        ("OK", RoadTest.GONE),
        ("not fixed", RoadTest.STILL_THERE),
        ("No Good", RoadTest.STILL_THERE),
        ("can\u2019t say", RoadTest.CANNOT_SAY),
        ("n/a", None),
    ],
)
def test_the_road_test_is_yes_no_cannot_say_or_not_known(word: str, road_test: RoadTest | None) -> None:
    assert one(gone_at_road_test=word).rows[0].gone_at_road_test is road_test


@pytest.mark.parametrize("odd", ["goodish", "not sure it is fixed", "ok?", "fixed the hose", "came back"])
def test_an_answer_that_only_holds_a_known_word_is_not_guessed_at(odd: str) -> None:
    read = one(gone_at_road_test=odd)
    assert read.rows == []
    assert "is not understood" in read.errors[0].message


def test_of_a_row_left_out_nothing_says_that_it_was_taken() -> None:
    result = one(reflashed_on="2/31/2025", gone_at_road_test="no")
    assert ([e.field for e in result.errors], result.rows) == (["reflashed_on"], [])
    assert [one.line for one in result.warnings] == [0], "only of the file: a failure may be lost"


def test_numbers_and_days_as_spreadsheets_leave_them_are_read() -> None:
    (row,) = one(year="2005.0", odometer="84210.00", opened_on="2026-03-01 00:00:00", cost="$1,128.50").rows
    assert (row.year, row.odometer, row.opened_on) == (2005, 84_210, date(2026, 3, 1))
    assert row.cost == Decimal("1128.50")


def test_other_work_may_be_a_bare_yes_or_named() -> None:
    assert one(other_work="yes").rows[0].other_work == ("yes",)
    assert one(other_work="plugs; battery").rows[0].other_work == ("plugs", "battery")


def test_a_cell_that_our_export_made_safe_is_read_as_it_was() -> None:
    assert one(complaint="'=dies at idle").rows[0].complaint == "=dies at idle"


@pytest.mark.parametrize("sign", [";", "\t"])
def test_semicolons_and_tabs_part_columns_where_the_first_line_does(sign: str) -> None:
    data = sign.join(["ro_number", "complaint"]) + "\n" + sign.join(["1", "bucks, uphill"]) + "\n"
    assert read("history", data.encode()).rows[0].complaint == "bucks, uphill"


@pytest.mark.parametrize(
    "bad",
    ['2,"bucks', '2,"bucks"x', '2,"bucks","', '"2,bucks'],
    ids=["never closed", "text after the quote", "one too many", "first cell"],
)
@pytest.mark.parametrize("others", ["{},stalls\n", '{},"stalls"\n'], ids=["plain", "quoted"])
def test_a_missing_quote_costs_its_own_row_only(bad: str, others: str) -> None:
    lines = ["ro_number,complaint\n", others.format(1), f"{bad}\n", *map(others.format, range(3, 4000))]
    result = read("history", "".join(lines).encode())
    assert [e.line for e in result.errors] == [3]
    assert [r.ro_number for r in result.rows] == ["1", *map(str, range(3, 4000))]
    assert [r.file_line for r in result.rows][:3] == [2, 4, 5]


def test_a_text_of_several_lines_is_one_cell() -> None:
    result = read("history", b'ro_number,complaint\r\n1,"bucks\r\nuphill"\r\n2,stalls\r\n')
    assert [(r.file_line, r.complaint) for r in result.rows] == [(2, "bucks\nuphill"), (4, "stalls")]


def test_a_row_with_more_fields_than_the_header_is_refused_with_the_likely_reason() -> None:
    result = read("history", b"ro_number,complaint\n1,bucks, uphill\n2,stalls\n")
    assert [(e.line, r.ro_number) for e, r in zip(result.errors, result.rows, strict=True)] == [(2, "2")]
    assert "Quote" in result.errors[0].message or "quote" in result.errors[0].message
