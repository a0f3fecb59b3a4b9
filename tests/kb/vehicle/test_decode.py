from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.nouns.vehicles import Applies, CoverageLine
from kb.vehicle.coverage import applies_to_recorded
from kb.vehicle.decode import decode
from kb.vehicle.families import Families


# Government VIN descriptors as the decoder's embedded data hold them; serial numbers are ours.
@pytest.mark.parametrize(
    ("vin", "make", "model", "year", "engine"),
    [
        ("4S3BNAC62H3004321", "SUBARU", "Legacy", 2017, "2.5L 4-cyl"),
        ("JM1BK32F781234567", "MAZDA", "Mazda3", 2008, "2.0L"),
    ],
)
def test_a_known_vin_fills_make_model_year_and_engine(
    vin: str, make: str, model: str, year: int, engine: str
) -> None:
    said = decode(vin, 2026)
    known = said.vehicle
    assert (known.make, known.model, known.year, known.engine) == (make, model, year, engine)
    assert said.filled == ("make", "model", "year", "engine")


def test_where_the_decoder_knows_nothing_the_year_comes_from_position_10() -> None:
    said = decode("ZZZZZZA00HZ000000", 2026)
    assert said.vehicle.year == 2017
    assert said.filled == ("year",)


def test_a_year_that_is_known_already_is_kept() -> None:
    assert decode("4S3BNAC62H3004321", 2026, year=2016).vehicle.year == 2016
    assert decode("AB1234", 2026, year=1975).filled == ("year",)


def test_a_heavy_volvo_has_the_make_that_its_recalls_are_printed_under() -> None:
    """VIN tables say VOLVO TRUCK; recall 23V689 (NHTSA recall communications) is for VOLVO VNL, 2024."""
    said = decode("4V4NC9EH6RN600123", 2026).vehicle
    recalled = (CoverageLine("VOLVO", "VNL", years=((2024, 2024),)),)
    assert applies_to_recorded(recalled, said, Families({})).applies is Applies.YES


@given(st.one_of(st.text(max_size=20), st.text("ABCHIOQ0159*", min_size=17, max_size=17)))
def test_no_text_whatever_makes_the_decoder_fail(text: str) -> None:
    said = decode(text, 2026)
    assert set(said.filled) <= {"make", "model", "year", "engine"}
    assert said.vehicle.year is None or 1886 <= said.vehicle.year <= 2027
