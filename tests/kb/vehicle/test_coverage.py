from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import BadInput
from kb.nouns.model_years import format_years, parse_years, ranges_of
from kb.nouns.vehicles import Applies, CalibrationStep, Coverage, CoverageLine, Vehicle
from kb.vehicle import coverage
from kb.vehicle.coverage import CoverageReading, in_short
from kb.vehicle.engines import compare_engines
from kb.vehicle.families import Families
from kb.vehicle.lineage import Lineage
from kb.vehicle.updates_on_file import UpdateOnFile, UpdatesOnFile

LINE = CoverageLine("Norvane", "T-5 Alto", ((2016, 2017), (2019, 2020)), "2.5L turbo")
FULL = Vehicle("NORVANE", "t5 alto", 2019, "2.5 L turbo", date(2019, 3, 1), "5NZAB23C8KA000001")


def applies_to_recorded(lines: Coverage, vehicle: Vehicle) -> CoverageReading:
    return coverage.applies_to_recorded(lines, vehicle, Families())


def applies_to_query(lines: Coverage, vehicle: Vehicle) -> CoverageReading:
    return coverage.applies_to_query(lines, vehicle, Families())


def test_case_spaces_and_hyphens_do_not_matter() -> None:
    assert applies_to_recorded((LINE,), FULL).applies is Applies.YES


@pytest.mark.parametrize("model", ["Norvane 3", "NORVANE3", "3"])
def test_the_make_in_front_of_a_model_is_no_part_of_it(model: str) -> None:
    for asked in ("NORVANE3", "3"):
        line = CoverageLine("Norvane", asked)
        assert applies_to_recorded((line,), replace(FULL, model=model)).applies is Applies.YES
        assert applies_to_recorded((line,), replace(FULL, model="Norvane")).applies is Applies.NO


@pytest.mark.parametrize(
    "change",
    [{"make": "Ostrel"}, {"model": "T-5"}, {"year": 2018}, {"year": 2021}, {"engine": "2.0L turbo"}],
)
def test_one_field_that_differs_is_no(change: dict[str, str | int]) -> None:
    vehicle = replace(FULL, **change)
    assert applies_to_recorded((LINE,), vehicle).applies is Applies.NO
    assert applies_to_query((LINE,), vehicle).applies is Applies.NO


@pytest.mark.parametrize(("field", "empty"), [("make", ""), ("model", " "), ("year", None), ("engine", "")])
def test_a_field_left_out_is_cannot_tell_on_record_and_no_loss_in_a_query(
    field: str, empty: str | None
) -> None:
    vehicle = replace(FULL, **{field: empty})
    recorded = applies_to_recorded((LINE,), vehicle)
    assert (recorded.applies, recorded.missing) == (Applies.CANNOT_TELL, (field,))
    assert recorded.sentence == f"can't tell: {field} not entered"
    assert applies_to_query((LINE,), vehicle).applies is Applies.YES


def test_a_field_that_the_note_does_not_ask_may_be_missing() -> None:
    assert applies_to_recorded((CoverageLine("Norvane"),), Vehicle(make="norvane")).applies is Applies.YES


def test_a_note_without_coverage_cannot_tell_of_any_vehicle() -> None:
    assert applies_to_recorded((), FULL).applies is Applies.CANNOT_TELL
    assert applies_to_query((), FULL).applies is Applies.CANNOT_TELL


def test_the_best_line_decides_and_the_fewest_missing_fields_are_named() -> None:
    other = CoverageLine("Norvane", "Brio", built_from=date(2018, 1, 1), vin_prefix="5NZ")
    vague = replace(FULL, year=None, engine="")
    assert applies_to_recorded((other, LINE), FULL).applies is Applies.YES
    assert applies_to_recorded((other, LINE), vague).missing == ("year", "engine")
    assert applies_to_recorded((LINE, replace(LINE, engine="")), vague).missing == ("year",)


@pytest.mark.parametrize(
    ("built", "expected"),
    [
        (date(2019, 2, 1), Applies.YES),
        (date(2019, 4, 30), Applies.YES),
        (date(2019, 1, 31), Applies.NO),
        (date(2019, 5, 1), Applies.NO),
        (None, Applies.CANNOT_TELL),
    ],
)
def test_build_dates_count_both_ends(built: date | None, expected: Applies) -> None:
    line = CoverageLine("Norvane", built_from=date(2019, 2, 1), built_to=date(2019, 4, 30))
    assert applies_to_recorded((line,), replace(FULL, built_on=built)).applies is expected


@pytest.mark.parametrize(
    ("prefix", "vin", "expected"),
    [
        ("5NZAB2", "5nzab23c8ka000001", Applies.YES),
        ("5NZAB23C*K", "5NZAB23C8KA000001", Applies.YES),
        ("5NZAB4", "5NZAB23C8KA000001", Applies.NO),
        ("5NZAB2", "", Applies.CANNOT_TELL),
        ("5NZAB2", "KA000001", Applies.CANNOT_TELL),
    ],
)
def test_a_vin_prefix_is_compared_from_the_start(prefix: str, vin: str, expected: Applies) -> None:
    line = CoverageLine("Norvane", vin_prefix=prefix)
    assert applies_to_recorded((line,), replace(FULL, vin=vin)).applies is expected


# Common practice, no source: what the words for an engine say of each other.
@pytest.mark.parametrize(
    ("needed", "known", "expected"),
    [
        ("2.5L", "2.5 L 4-cyl", Applies.YES),
        ("V6", "3.5L V-6", Applies.YES),
        ("4 cyl", "2.0L inline-4", Applies.YES),
        ("2.5L turbo", "2.5L 4-cyl", Applies.CANNOT_TELL),
        ("3.5L V6", "3.5L 6-cyl", Applies.CANNOT_TELL),
        ("NV25", "2.5L 4-cyl", Applies.CANNOT_TELL),
        ("2.0T", "2.5L", Applies.NO),
        ("4 cyl", "6 cyl", Applies.NO),
        ("NV25", "NV20", Applies.NO),
    ],
)
def test_an_engine_said_otherwise_is_not_taken_for_another_engine(
    needed: str, known: str, expected: Applies
) -> None:
    assert compare_engines(needed, known) is expected


@given(st.sets(st.integers(1886, 2100)), st.integers(1886, 2100))
def test_ranges_hold_exactly_their_years_and_read_back_as_written(years: set[int], asked: int) -> None:
    ranges = ranges_of({*years, 9999})
    assert any(a <= asked <= b for a, b in ranges) == (asked in years)
    assert all(b[0] - a[1] > 1 for a, b in pairwise(ranges)), "holes stay holes"
    assert all(last <= 2100 for _, last in ranges), "9999 is no year"
    assert parse_years(format_years(ranges)) == ranges


@given(st.sets(st.integers(2000, 2030)), st.integers(2000, 2030))
def test_a_year_applies_exactly_where_it_is_listed(years: set[int], asked: int) -> None:
    reading = applies_to_recorded((CoverageLine("N", "A", ranges_of(years)),), Vehicle("n", "a", asked))
    assert (reading.applies is Applies.YES) == (asked in years or not years)


def test_a_year_not_known_to_the_note_asks_none() -> None:
    line = CoverageLine("Norvane", years=((9999, 9999),))
    assert applies_to_recorded((line,), FULL).applies is Applies.YES
    assert applies_to_recorded((LINE,), replace(FULL, year=9999)).missing == ("year",)


@pytest.mark.parametrize("text", ["17", "2019-2016", "twenty", "1700", "2016-"])
def test_what_is_no_model_year_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="no model year"):
        parse_years(text)


def test_whose_note_it_is_stays_short_however_many_vehicles_are_covered() -> None:
    alto, brio, other = (
        CoverageLine("Norvane", "Alto"),
        CoverageLine("Norvane", "Brio"),
        CoverageLine("Ostrel"),
    )
    assert in_short((alto,)) == "Norvane Alto"
    assert in_short((alto, brio)) == "Norvane, 2 models"
    assert in_short((alto, brio, other)) == "2 makes"
    assert in_short((CoverageLine("Norvane", "Norvane"),)) == "Norvane"
    assert in_short(()) == ""


def test_a_make_s_other_names_are_one_make_for_coverage_and_lineage() -> None:
    """VIN tables say VOLVO TRUCK; recall 23V689 (NHTSA recall communications) is for VOLVO VNL, 2024."""
    line = (CoverageLine("VOLVO", "VNL", ((2024, 2024),)),)
    truck = Vehicle("VOLVO TRUCK", "VNL", 2024)
    assert applies_to_recorded(line, truck).applies is Applies.YES
    assert applies_to_recorded(line, replace(truck, make="VOLVOS")).applies is Applies.NO
    step = CalibrationStep("PCM", ("11",), "12")
    update = UpdateOnFile(1, "1", "", "", "", frozenset(), frozenset(), (step,), line, frozenset())
    updates = UpdatesOnFile({1: update}, {})
    assert updates.lineage("Volvo Truck") == Lineage.of((step,))
