"""Results of measured numbers by hand, at both sides of each starting limit and at the limit itself."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.advice.checks.measured import cannot_be, faults_of, limit_said, limits_here, result_of
from kb.nouns.bay.measures import Decides, Measure, PrintedLimit, YesWhen, measure_of
from kb.nouns.concerns import FindingResult
from kb.nouns.starting_checks import STARTING_CHECKS

MEASURES = {one.key: one.measure for one in STARTING_CHECKS if one.measure}

# by hand from the questions of the starting checks (common practice, no source): what leaves it open is "?"
BY_HAND = """
voltage_drop 0.05 no | voltage_drop 0.1 no | voltage_drop 0.15 ? | voltage_drop 0.2 ? | voltage_drop 0.21 yes
fuel_trim -12 no | fuel_trim 10 no | fuel_trim 10.5 ? | fuel_trim 25 ?
fuel_pressure 38 ? | cold_soak_sensors 10 no | cold_soak_sensors 11 yes
converter_slip 100 no | converter_slip 101 yes | converter_slip -20 no
key_off_draw 20 ? | key_off_draw 50 no | key_off_draw 380 no
bus_resistance 60 yes | bus_resistance 55 yes | bus_resistance 65 yes | bus_resistance 52 ?
bus_resistance 68 ? | bus_resistance 40 no | bus_resistance 120 no | block_spread 0.4 ?
"""


@pytest.mark.parametrize(
    "line", [one.strip() for one in BY_HAND.replace("\n", "|").split("|") if one.strip()]
)
def test_a_number_says_what_the_question_asks(line: str) -> None:
    key, number, said = line.split()
    measure = MEASURES[key]
    result = result_of(measure, limits_here(measure, {}), float(number))
    assert {"yes": "yes", "no": "no", "inconclusive": "?"}[result] == said


def test_a_printed_limit_comes_before_the_checks_own_and_is_named() -> None:
    measure = replace(MEASURES["converter_slip"], printed=(PrintedLimit(7, 60), PrintedLimit(8, 90)))
    here = limits_here(measure, {7: "TRN-1", 9: "TRN-9"})
    assert result_of(measure, here, 75) is FindingResult.YES
    assert limit_said(measure, here) == "over 60 rpm, as TRN-1 prints it"
    assert limit_said(measure, limits_here(measure, {9: "TRN-9"})) == "over 100 rpm"


def test_where_two_notes_print_different_limits_a_number_between_them_is_left_open() -> None:
    measure = replace(MEASURES["converter_slip"], printed=(PrintedLimit(7, 60), PrintedLimit(8, 90)))
    here = limits_here(measure, {7: "TRN-1", 8: "TRN-2"})
    assert [str(result_of(measure, here, one)) for one in (50, 75, 95)] == ["no", "inconclusive", "yes"]


def test_what_cannot_be_is_refused_in_a_sentence() -> None:
    assert cannot_be(MEASURES["fuel_trim"], 250) == (
        "250 % cannot be: it lies between -100 and 100 %. Look at the number and the unit."
    )
    assert cannot_be(Measure("V", least=0), -1).startswith("-1 V cannot be: it lies from 0 on V.")
    assert not cannot_be(MEASURES["fuel_trim"], 100)


@given(
    limit=st.floats(-100, 100),
    width=st.floats(0.01, 50),
    between=st.floats(0, 20),
    number=st.floats(-300, 300),
)
def test_over_and_under_are_mirrors_and_within_lies_between_them(
    limit: float, width: float, between: float, number: float
) -> None:
    over = Measure("V", YesWhen.OVER, limit, between=between)
    under = Measure("V", YesWhen.UNDER, -limit, between=between)
    assert result_of(over, limits_here(over, {}), number) is result_of(under, limits_here(under, {}), -number)
    inside = Measure("V", YesWhen.WITHIN, limit, limit + width)
    expected = limit - 1e-9 <= number <= limit + width + 1e-9
    if min(abs(number - limit), abs(number - limit - width)) > 1e-8:
        assert (result_of(inside, limits_here(inside, {}), number) is FindingResult.YES) == expected


def test_every_starting_measure_can_be_saved_and_is_read_again_as_it_was() -> None:
    assert set(MEASURES) == {
        line.split()[0] for line in BY_HAND.replace("|", "\n").split("\n") if line.split()
    }
    for one in MEASURES.values():
        assert faults_of(one) == {}
        assert measure_of(one.plain()) == one


def test_limits_that_cannot_decide_anything_are_refused_by_field() -> None:
    assert "upper" in faults_of(Measure("V", YesWhen.WITHIN, 5, 4))
    assert "upper" in faults_of(Measure("V", YesWhen.OVER, 5, 6))
    assert "unit" in faults_of(Measure("furlongs"))
    assert "printed" in faults_of(Measure("V", YesWhen.WITHIN, 5, 6, printed=(PrintedLimit(1, 5),)))
    assert "limit" in faults_of(Measure("V", YesWhen.OVER, 50, least=0, most=16, decides=Decides.BOTH))
