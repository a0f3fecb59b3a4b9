from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
import ultravin
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import BadInput
from kb.nouns.model_years import check_year
from kb.nouns.vehicles import Vehicle
from kb.vehicle.vin import (
    check_digit,
    check_vin,
    model_year,
    normalise,
    read_vin,
    weighted_sum,
    years_of_code,
)

LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ0123456789"
THIS_YEAR = 2026


@st.composite
def right_vins(draw: st.DrawFn) -> str:
    """Any 17 characters of the standard with the check digit that belongs to them."""
    text = draw(st.text(LETTERS, min_size=17, max_size=17))
    return f"{text[:8]}{check_digit(text)}{text[9:]}"


def north_american(vin: str) -> str:
    text = f"5{vin[1:]}"
    return f"{text[:8]}{check_digit(text)}{text[9:]}"


# 49 CFR 565.15 table V; outline for new manufacturers p. 18; a widely used self-test; an encyclopedia's
# example, from memory.
@pytest.mark.parametrize(
    ("vin", "total", "digit"),
    [
        ("1G4AH59H?5G118341", 411, "4"),
        ("1J9RP1A3?A1644345", 314, "6"),
        ("11111111111111111", 89, "1"),
        ("1M8GDM9AXKP042788", 351, "X"),
    ],
)
def test_published_vins_give_their_published_sum_and_check_digit(vin: str, total: int, digit: str) -> None:
    assert weighted_sum(vin) == total
    assert check_digit(vin) == digit


# 49 CFR 565.15 table VII, recalled; 2010 as the first repeat: 73 FR 23367.
@pytest.mark.parametrize(
    ("code", "first"), [("A", 1980), ("Y", 2000), ("1", 2001), ("9", 2009), ("5", 2005), ("H", 1987)]
)
def test_a_model_year_code_repeats_after_thirty_years(code: str, first: int) -> None:
    assert years_of_code(code) == (first, first + 30)


def test_letters_that_position_10_never_uses_say_no_year() -> None:
    assert [years_of_code(code) for code in ("I", "O", "Q", "U", "Z", "0", "", "AB")] == [()] * 8


def test_position_7_tells_the_two_cycles_apart() -> None:
    # From memory of 49 CFR 565.15: letter 2010 to 2039, digit 1980 to 2009.
    assert model_year("11111111111111111", THIS_YEAR) == 2001
    assert model_year("111111A11H1111111", THIS_YEAR) == 2017
    assert model_year("111111111H1111111", THIS_YEAR) == 1987
    assert model_year("111111A11Y1111111", THIS_YEAR) == 2000, "2030 is not built yet"


@given(right_vins(), st.integers(0, 16), st.sampled_from(LETTERS))
def test_every_single_mistyped_character_of_another_value_is_noticed(
    vin: str, place: int, typed: str
) -> None:
    # Values run 0 to 9 and every weight but position 9's is coprime to 11, so one changed value always shows.
    wrong = vin[:place] + typed + vin[place + 1 :]
    changed = weighted_sum(wrong) != weighted_sum(vin) or wrong[8] != vin[8]
    assert (check_digit(wrong) != wrong[8]) == changed


@given(right_vins(), st.integers(0, 15).filter(lambda p: p not in (7, 8)))
def test_two_neighbours_swapped_are_noticed_unless_their_values_agree(vin: str, place: int) -> None:
    swapped = vin[:place] + vin[place + 1] + vin[place] + vin[place + 2 :]
    assert (check_digit(swapped) == swapped[8]) == (weighted_sum(swapped) == weighted_sum(vin))


@given(right_vins())
def test_a_right_vin_is_taken_without_a_word_about_its_check_digit(vin: str) -> None:
    reading = check_vin(vin.lower(), None, this_year=THIS_YEAR)
    assert (reading.vin, reading.warnings) == (vin, ())


@given(right_vins())
def test_a_wrong_north_american_check_digit_is_refused_until_somebody_confirms_it(vin: str) -> None:
    right = north_american(vin)
    wrong = right[:8] + ("1" if right[8] != "1" else "2") + right[9:]
    with pytest.raises(BadInput) as refused:
        check_vin(wrong, None, this_year=THIS_YEAR)
    assert set(refused.value.fields) == {"vin"}
    assert check_vin(wrong, None, confirmed=True, this_year=THIS_YEAR).warnings
    assert read_vin(wrong, None, THIS_YEAR).to_confirm


def test_elsewhere_a_wrong_check_digit_only_warns() -> None:
    reading = check_vin("WZZ11111011111111", None, this_year=THIS_YEAR)
    assert reading.vin == "WZZ11111011111111"
    assert "check digit" in reading.warnings[0]
    assert not reading.to_confirm


@pytest.mark.parametrize("length", [1, 8, 16, 18])
def test_from_1981_on_another_length_than_17_is_refused(length: int) -> None:
    with pytest.raises(BadInput, match=rf"{length} character.*17.*plate") as refused:
        check_vin("1" * length, 1981, this_year=THIS_YEAR)
    assert "vin" in refused.value.fields


def test_another_length_warns_where_the_year_is_unknown_and_passes_before_1981() -> None:
    assert check_vin("1234567", None, this_year=THIS_YEAR).warnings
    assert check_vin("1234567", 1980, this_year=THIS_YEAR).warnings == ()


@pytest.mark.parametrize("letter", ["I", "O", "Q"])
def test_a_letter_that_no_vin_has_is_refused_with_the_digit_it_probably_is(letter: str) -> None:
    with pytest.raises(BadInput, match=rf"Character 12 .* {letter}.*probably a [01]"):
        check_vin(f"11111111111{letter}11111", 2017, this_year=THIS_YEAR)


@pytest.mark.parametrize("vin", ["1111111111111111é", "1111111111111111$"])
def test_signs_that_are_no_letters_or_digits_are_refused(vin: str) -> None:
    with pytest.raises(BadInput, match="letters and digits"):
        check_vin(vin, None, this_year=THIS_YEAR)


def test_check_digits_agree_with_an_independent_generator_of_vins() -> None:
    for vin in ultravin.generate(300, seed=11, invalid_rate=0.0, now=datetime(2026, 1, 1, tzinfo=UTC)):
        assert check_digit(vin) == vin[8]


def test_spaces_hyphens_stars_and_the_import_mark_of_bar_codes_are_dropped() -> None:
    assert normalise(" *1m8-gdm9a xkp042788* ") == "1M8GDM9AXKP042788"
    assert normalise("I1M8GDM9AXKP042788") == "1M8GDM9AXKP042788"


def test_a_year_that_the_vin_contradicts_warns() -> None:
    assert "1989 or 2019" in check_vin("1M8GDM9AXKP042788", 1990, this_year=THIS_YEAR).warnings[0]
    assert check_vin("1M8GDM9AXKP042788", 1989, this_year=THIS_YEAR).warnings == ()


def test_no_vin_is_no_error() -> None:
    assert check_vin("  ", 2017, this_year=THIS_YEAR).vin == ""


def test_model_years_run_from_1886_to_the_next() -> None:
    assert [check_year(y, THIS_YEAR) for y in (1886, 2027)] == [1886, 2027]
    for year in (1885, 2028, 0, -5):
        with pytest.raises(BadInput) as refused:
            check_year(year, THIS_YEAR)
        assert "year" in refused.value.fields


def test_what_is_known_of_a_vehicle_stands_and_the_rest_is_filled_in() -> None:
    known = Vehicle(make="Tarn", year=2019, vin="A")
    other = Vehicle("Norvane", "Vell", 2016, "2.0 L", date(2016, 3, 1), "B")
    assert known.or_else(other) == Vehicle("Tarn", "Vell", 2019, "2.0 L", date(2016, 3, 1), "A")
    assert Vehicle().or_else(other) == other.or_else(known) == other
