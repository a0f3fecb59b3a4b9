from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from kb.nouns.vehicles import CoverageLine, Vehicle
from kb.search.query import IndexEntry
from kb.search.standing import CANNOT_TELL, NO, YES, Standing

MAKES = st.sampled_from(["Arges", "BRON-TES", "brontes"])
MODELS = st.sampled_from(["", "F-150", "f150", "Onyx"])
YEARS = st.lists(st.tuples(st.integers(2010, 2014), st.integers(2012, 2016)), max_size=2).map(tuple)
LINES = st.builds(CoverageLine, make=MAKES, model=MODELS, years=YEARS, engine=st.sampled_from(["", "2.4"]))
VEHICLES = st.builds(
    Vehicle,
    make=st.sampled_from(["", "ARGES", "Brontes", "Nix"]),
    model=st.sampled_from(["", "F 150", "onyx"]),
    year=st.sampled_from([None, 2011, 2015]),
    engine=st.sampled_from(["", "2.4"]),
)


@given(st.lists(st.lists(LINES, max_size=3), max_size=5), VEHICLES, st.booleans())
def test_all_notes_at_once_stand_as_each_line_read_by_itself_says(
    coverages: list, vehicle: Vehicle, recorded: bool
) -> None:
    """The slow obvious twin of design.md 2 `applies`, line by line and field by field."""
    entries = [
        IndexEntry(number, "bulletin", coverage=tuple(lines)) for number, lines in enumerate(coverages)
    ]
    eligible = Standing(entries).eligible(vehicle, recorded)
    if not recorded and not (vehicle.make or vehicle.model or vehicle.year):
        assert eligible is None
        return
    expected = {number: stands(lines, vehicle, recorded) for number, lines in enumerate(coverages)}
    assert eligible is not None
    found = dict(zip(eligible.notes.tolist(), eligible.standing.tolist(), strict=True))
    assert found == {number: standing for number, standing in expected.items() if standing != NO}


def stands(lines: list[CoverageLine], vehicle: Vehicle, recorded: bool) -> int:
    if not lines:
        return CANNOT_TELL
    return max(line_stands(line, vehicle, recorded) for line in lines)


def line_stands(line: CoverageLine, vehicle: Vehicle, recorded: bool) -> int:
    if vehicle.make and plain(line.make) != plain(vehicle.make):
        return NO
    if vehicle.model and line.model and plain(line.model) != plain(vehicle.model):
        return NO
    if vehicle.year and line.years and not any(low <= vehicle.year <= high for low, high in line.years):
        return NO
    unknown = (
        not vehicle.make
        or (line.model and not vehicle.model)
        or (line.years and not vehicle.year)
        or (line.engine and not vehicle.engine)
    )
    return CANNOT_TELL if recorded and unknown else YES


def plain(name: str) -> str:
    return name.lower().replace("-", "").replace(" ", "")
