from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.words.printed_numbers import NumbersTyped, numbers_typed


@pytest.mark.parametrize(
    ("text", "order"),
    [
        ("RO 2087-A", ("2087", "A")),
        ("ro#2087-a", ("2087", "A")),
        ("R.O. 2087", ("2087", "")),
        ("2087-A", ("2087", "A")),
        ("2087", ("2087", "")),
        ("RO 24-1077-B", ("24-1077", "B")),
        ("RO2087", ("RO2087", "")),
    ],
)
def test_a_repair_order_is_read_as_printed(text: str, order: tuple[str, str]) -> None:
    assert order in numbers_typed(text).orders


def test_other_numbers_are_told_by_their_form() -> None:
    assert numbers_typed("20v-177").bulletins == ("20v-177",)
    assert numbers_typed("Orsel-31").bulletins == ("Orsel-31",)
    assert numbers_typed("fh123456").vins == ("FH123456",)
    assert numbers_typed("1M8GDM9AXKP042788").vins == ("1M8GDM9AXKP042788",)
    assert numbers_typed("NV10").calibrations == ("NV10",)
    assert numbers_typed("0-4417").calibrations == ("0-4417",)
    assert numbers_typed("4D7").calibrations == ("4D7",)
    assert numbers_typed("4D").calibrations == ()


@pytest.mark.parametrize(
    "text",
    ["stalls at 45 mph when warm and uphill", "no crank", "dies at light", "", "   ", "check engine"],
)
def test_a_complaint_is_no_number(text: str) -> None:
    assert numbers_typed(text) == NumbersTyped()


def test_a_complaint_names_recalls_by_their_own_form_only() -> None:
    text = (
        "The contact received notice of NHTSA campaign number 21V650000 (electrical), RO 2087, not 20V-701."
    )
    assert numbers_typed(text) == NumbersTyped(bulletins=("21V650000", "20V-701"))


def test_a_trouble_code_or_year_is_no_order_and_no_calibration() -> None:
    for text in ("P0301", "u0100-87"):
        assert (numbers_typed(text).orders, numbers_typed(text).calibrations) == ((), ())
    assert numbers_typed("2019").calibrations == ()


@given(st.text(max_size=40))
def test_anything_may_be_typed(text: str) -> None:
    numbers_typed(text)


def test_one_endless_word_is_no_number_and_is_not_tried_at_each_letter() -> None:
    assert numbers_typed("x" * 10_000) == numbers_typed("7" * 10_000) == NumbersTyped()
