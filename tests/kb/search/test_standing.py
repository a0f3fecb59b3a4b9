from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from kb.nouns.vehicles import Applies, CoverageLine, Vehicle
from kb.search.query import IndexEntry
from kb.search.stored.coverage import StandingRows
from kb.search.vehicle.standing import APPLIES, Standing
from kb.vehicle.coverage import applies_to_query, applies_to_recorded
from kb.vehicle.families import Families, FamilyEntry

FAMILIES = Families.of(
    [
        FamilyEntry("Brontes", ("Onyx", "Onyx Peak")),
        FamilyEntry("Arges", ("Onyx 5",), apart=True),
    ]
)
MAKES = ["Arges", "BRON-TES", "brontes"]
MODELS = [
    "",
    "F-150",
    "f150 hybrid",
    "F",
    "Onyx",
    "ONYX-PHEV",
    "Onyx Peak",
    "Onyx 5",
    "Arges onyx",
    "BrontesF150",
]
YEARS = st.lists(
    st.one_of(st.tuples(st.integers(2010, 2014), st.integers(2012, 2016)), st.just((9999, 9999))), max_size=2
).map(tuple)
LINES = st.builds(
    CoverageLine,
    make=st.sampled_from(["", *MAKES]),
    model=st.sampled_from(MODELS),
    years=YEARS,
    engine=st.sampled_from(["", "2.4"]),
)
VEHICLES = st.builds(
    Vehicle,
    make=st.sampled_from(["", "ARGES", "Brontes", "Nix"]),
    model=st.sampled_from([*MODELS, "f 150 L", "onyx electric"]),
    year=st.sampled_from([None, 2011, 2015, 9999]),
    engine=st.sampled_from(["", "2.4"]),
)


def standing_of(entries: list[IndexEntry], families: Families) -> Standing:
    """What is taken in bit by bit."""
    rows = StandingRows()
    for entry in entries:
        rows.take([entry])
    return Standing(rows.made(), families)


@settings(max_examples=300)
@given(st.lists(st.lists(LINES, max_size=3), max_size=5), VEHICLES, st.booleans())
def test_all_notes_at_once_stand_as_the_coverage_of_each_read_by_itself_says(
    coverages: list[list[CoverageLine]], vehicle: Vehicle, recorded: bool
) -> None:
    """The slow exact rule of kb/vehicle/coverage.py, note by note."""
    entries = [
        IndexEntry(number, "bulletin", coverage=tuple(lines)) for number, lines in enumerate(coverages)
    ]
    standing = standing_of(entries, FAMILIES)
    eligible = standing.eligible(vehicle, recorded)
    if not recorded and not (vehicle.make or vehicle.model or vehicle.year):
        assert eligible is None
        return
    rule = applies_to_recorded if recorded else applies_to_query
    expected = {
        number: rule(tuple(lines), vehicle, FAMILIES).applies for number, lines in enumerate(coverages)
    }
    assert eligible is not None
    found = dict(zip(eligible.notes.tolist(), (APPLIES[one] for one in eligible.standing), strict=True))
    assert found == {number: applies for number, applies in expected.items() if applies is not Applies.NO}
    if recorded:
        assert standing.covering(vehicle).tolist() == [number for number in found if coverages[number]]


def test_other_families_are_read_from_the_next_look_on() -> None:
    entries = [IndexEntry(1, "bulletin", coverage=(CoverageLine("Arges", "Onyx Peak"),))]
    before = standing_of(entries, Families())
    peak = Vehicle("Arges", "Onyx")
    after = before.with_families(Families.of([FamilyEntry("Arges", ("Onyx", "Onyx Peak"))]))
    assert (before.covering(peak).tolist(), after.covering(peak).tolist()) == ([], [0])
