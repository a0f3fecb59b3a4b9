"""Single cells as shops write them: a vehicle, an odometer, money, answers with a day, texts as updates."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from kb.errors import BadInput
from kb.intake.fields import read_money, read_odometer
from kb.intake.history.history_words import read_came_back, read_day_of, read_returned, read_road_test
from kb.intake.history.update_texts import number_in, texts_that_are_none
from kb.intake.history.vehicle_cell import vehicle_of
from kb.nouns.concerns import FollowUpResult, RoadTest
from tests.kb.intake.reading import read


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("2017 Tarn Vell 2.0T", ("", "2017", "Tarn", "Vell", "2.0T")),
        ("17 TARN VELL", ("", "2017", "Tarn", "Vell", "")),
        ("'98 Norvane Alto", ("", "1998", "Norvane", "Alto", "")),
        ("2021 Hespar Nimmer 1.8 hybrid AWD", ("", "2021", "Hespar", "Nimmer", "1.8 hybrid")),
        ("Tarn Vell GT 2017", ("", "2017", "Tarn", "Vell GT", "")),
        ("2019 Land Rover Discovery (V6)", ("", "2019", "Land Rover", "Discovery", "V6")),
        ("2005, Norvane, Alto VIN: 1G4AH59H45G118341", ("1G4AH59H45G118341", "2005", "Norvane", "Alto", "")),
        ("", ("", "", "", "", "")),
    ],
)
def test_a_vehicle_in_one_cell_is_taken_apart(text: str, told: tuple[str, ...]) -> None:
    assert tuple(vehicle_of(text).values()) == told


def test_a_column_of_its_own_goes_before_the_vehicle_cell() -> None:
    file = (
        b"ro_number,complaint,vehicle,model,year\n1,bucks,2017 Tarn Vell,Skerra,\n2,bucks,2170 Tarn Vell,,\n"
    )
    result = read("history", file)
    assert [(one.make, one.model, one.year) for one in result.rows] == [("Tarn", "Skerra", 2017)]
    assert [(one.line, one.field) for one in result.errors] == [(3, "vehicle")]


@pytest.mark.parametrize(
    ("text", "miles"),
    [
        ("69810 mi", 69_810),
        ("69,810", 69_810),
        ("69.8k", 69_800),
        ("112K miles", 112_000),
        ("69 810", 69_810),
    ],
)
def test_miles_are_read_with_and_without_their_unit(text: str, miles: int) -> None:
    assert read_odometer(text) == miles


@pytest.mark.parametrize("text", ["112,000 km", "69,81", "about 70000", "70000-80000"])
def test_what_is_no_reading_in_miles_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        read_odometer(text)


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("$1,234.50", "1234.50"),
        ("(12.00)", "12.00"),
        ("$ 5", "5"),
        ("1.234,50", "1234.50"),
        ("128,50 EUR", "128.50"),
        ("1,234", "1234"),
    ],
)
def test_money_is_read_as_bookkeepers_write_it(text: str, amount: str) -> None:
    assert read_money(text) == Decimal(amount)


def test_an_answer_and_its_day_are_both_kept() -> None:
    day = date(2023, 10, 26)
    for text in (
        "yes - 2023-10-26",
        "Y 2023-10-26",
        "2023-10-26 (yes)",
        "came back on 2023-10-26",
        "2023-10-26",
    ):
        assert (read_returned(text).day, read_came_back(text).day, read_came_back(text).came_back) == (
            day,
            day,
            True,
        )
    assert read_came_back("no - 2023-10-26").denied
    assert read_came_back("sold 2023-10-26").result is FollowUpResult.SOLD
    assert read_came_back("fixed 2023-10-26").day is None, "a day beside fixed is no comeback"
    assert (read_day_of("yes - 2023-10-26"), read_day_of("no"), read_day_of("00/00/0000")) == (
        day,
        None,
        None,
    )
    assert read_road_test("yes - 2023-10-26") is RoadTest.GONE
    assert read_road_test("No, still bucks") is RoadTest.STILL_THERE
    for read_it, text in (
        (read_day_of, "yes"),
        (read_road_test, "yes but it came back"),
        (read_returned, "no?"),
    ):
        with pytest.raises(BadInput):
            read_it(text)


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("TRN-19-044A", "TRN-19-044A"),
        ("per TRN-19-044A", "TRN-19-044A"),
        ("VELL 22", "VELL 22"),
        ("N-1", "N-1"),
        ("n/a", ""),
        ("R&R starter", None),
        ("declined TRN-19-044A", None),
        ("4 wheel alignment", None),
        ("P0171", None),
        ("1.5 hrs", None),
    ],
)
def test_a_number_of_a_bulletin_is_told_from_work(text: str, number: str | None) -> None:
    assert number_in(text) == number
    assert number_in("R&R starter", {"rrstarter", "r&rstarter"}) in (None, "R&R starter")


def test_a_text_under_the_update_makes_no_bulletin_and_is_kept_as_work() -> None:
    head = b"ro_number,complaint,update,work_done\n"
    file = head + b"1,bucks,R&R starter,\n2,bucks,R&R starter,tested\n3,bucks,N-1,\n4,,R&R starter,\n"
    result = read("history", file)
    assert [(one.update, one.work_done) for one in result.rows] == [
        ("", "R&R starter"),
        ("", "R&R starter; tested"),
        ("N-1", ""),
    ]
    assert [(one.line, one.field) for one in result.errors] == [(5, "update")]
    assert "3 rows have a text under update" in result.warnings[-1].message
    assert texts_that_are_none(["R&R starter", "N-1", "R&R  starter"]) == {"R&R starter": 2}
