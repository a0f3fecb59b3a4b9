"""Families of model names, judged by groups that somebody else read off the government's files."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.nouns.vehicles import Applies, CoverageLine, Vehicle
from kb.vehicle.coverage import applies_to_query, applies_to_recorded
from kb.vehicle.families import Families, FamilyEntry, families_on_file

SEEN = (Path(__file__).parent / "fixtures" / "models_seen.txt").read_text("utf-8").splitlines()
GROUPS = [
    (make, [name.strip() for name in names.split("|")])
    for make, names in (line.split(":", 1) for line in SEEN if not line.startswith("#"))
]
FAMILIES = families_on_file()
NAMES = [name for _make, names in GROUPS for name in names]


@pytest.mark.parametrize("make", sorted({make for make, _ in GROUPS}))
def test_names_are_of_one_family_exactly_where_another_reader_of_the_files_says_so(make: str) -> None:
    """Every pair of names of a make: those of one group are related, all others are not."""
    groups = [set(names) for of, names in GROUPS if of == make]
    names = sorted(set().union(*groups))
    for one, other in combinations(names, 2):
        together = any({one, other} <= group for group in groups)
        assert FAMILIES.related(make, one, other) == together, f"{one} and {other}"


# Common practice, no source: how a decoder shortens names, and marks for heavy duty. Makes are invented.
@pytest.mark.parametrize(
    ("one", "other", "related"),
    [
        ("Bastion", "BASTION 2500HD", True),
        ("Bastion 2500", "BASTION 2500 HD", True),
        ("Bastion 2500", "Bastion 1500", False),
        ("C-Class", "C300", True),
        ("3 Series", "328I", True),
        ("5 Series", "328I", False),
        ("VX-5", "VX-50", False),
        ("Tarn 3", "TARN3 HYBRID", True),
        ("Alto", "Alto Plug-In Hybrid", True),
        ("Alto PHEV", "ALTO PLUG IN HYBRID", True),
        ("Alto", "Altona", False),
        ("Quarry (QR)", "Quarry", True),
        ("Quarry (QR)", "QUARRY (QU)", True),
    ],
)
def test_a_decoders_shorter_name_and_a_mark_for_heavy_duty_stay_in_the_family(
    one: str, other: str, related: bool
) -> None:
    assert FAMILIES.related("Tarn", one, other) is related


def test_a_shop_may_join_names_or_take_them_apart_and_the_later_entry_wins() -> None:
    joined = FamilyEntry("Tarn", ("Alto", "Altona"))
    apart = FamilyEntry("tarn", ("ALTONA",), apart=True)
    assert Families.of([joined]).related("TARN", "alto hybrid", "Altona")
    assert not Families.of([joined]).related("Norvane", "Alto", "Altona")
    assert not Families.of([joined, apart]).related("Tarn", "Alto", "Altona")
    assert Families.of([joined, apart, joined]).related("Tarn", "Alto", "Altona")


def test_groups_that_share_a_name_are_one() -> None:
    pairs = [FamilyEntry("Tarn", names) for names in (("A", "B"), ("C", "D"), ("B", "C"))]
    families = Families.of(pairs)
    assert all(families.related("Tarn", one, other) for one, other in combinations("ABCD", 2))


@given(st.sampled_from(["", "Hyundai", "Volvo"]), st.sampled_from(NAMES), st.sampled_from(NAMES))
def test_being_related_goes_both_ways_and_a_name_is_of_its_own_family(
    make: str, one: str, other: str
) -> None:
    assert FAMILIES.related(make, one, one)
    assert FAMILIES.related(make, one, other) == FAMILIES.related(make, other, one)


@given(st.text(max_size=20), st.text(max_size=20))
def test_any_name_is_read(make: str, model: str) -> None:
    assert FAMILIES.related(make, model, model)


def test_another_model_of_the_family_cannot_tell_and_says_both_names() -> None:
    line = CoverageLine("Hyundai", "SANTA FE", ((2024, 2025),))
    hybrid = Vehicle("Hyundai", "SANTA FE HYBRID", 2024)
    for rule in (applies_to_recorded, applies_to_query):
        reading = rule((line,), hybrid, FAMILIES)
        assert reading.applies is Applies.CANNOT_TELL
        assert reading.sentence == "can't tell: the note is for SANTA FE, this is SANTA FE HYBRID"
        other_year = Vehicle("Hyundai", "SANTA FE HYBRID", 2023)
        assert rule((line,), other_year, FAMILIES).applies is Applies.NO
    own = CoverageLine("Hyundai", "Santa Fe Hybrid", ((2024, 2024),))
    assert applies_to_recorded((line, own), hybrid, FAMILIES).applies is Applies.YES
    vague = applies_to_recorded((line,), Vehicle("Hyundai", "SANTA FE HYBRID"), FAMILIES)
    assert vague.sentence == "can't tell: the note is for SANTA FE, this is SANTA FE HYBRID; year not entered"
