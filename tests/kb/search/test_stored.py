"""An index out of a file finds what the one that was built finds, score for score."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from kb.nouns.vehicles import CoverageLine, Vehicle
from kb.records.files.array_file import ArrayFolder
from kb.search.index import SearchIndex
from kb.search.query import IndexEntry, Query
from kb.search.stored.packing import Packed
from kb.vehicle.families import families_on_file
from kb.words.concepts import trade_concepts
from kb.words.lexicon import Lexicon, make_lexicon

WORDS = (
    "engine",
    "stalls",
    "no",
    "crank",
    "dash",
    "blank",
    "brake",
    "squeal",
    "warning",
    "lamp",
    "zorb",
    "warm",
)
TEXTS = st.lists(st.sampled_from(WORDS), max_size=8).map(" ".join)
LINES = st.builds(
    CoverageLine,
    make=st.sampled_from(["", "Tarn", "Norvane"]),
    model=st.sampled_from(["", "Vell", "Vell Sport", "Tessel"]),
    years=st.sampled_from([(), ((2016, 2017), (2019, 2020))]),
    engine=st.sampled_from(["", "2.4"]),
)
ENTRY = st.builds(
    IndexEntry,
    id=st.integers(1, 40),
    kind=st.sampled_from(["bulletin", "lesson", "update", "concern"]),
    title=TEXTS,
    symptom=TEXTS,
    body=TEXTS,
    documents=st.lists(TEXTS, max_size=2).map(tuple),
    codes=st.sampled_from([(), ("P0301",)]),
    coverage=st.lists(LINES, max_size=2).map(tuple),
    same_as=st.frozensets(st.sampled_from(["20V177", "campaign of Tarn"])),
)
ENTRIES = st.lists(ENTRY, max_size=12, unique_by=lambda one: (one.id, one.kind))
VEHICLES = st.builds(
    Vehicle, st.sampled_from(["", "tarn"]), st.sampled_from(["", "vell"]), st.sampled_from([None, 2016])
)
QUERIES = st.builds(Query, text=TEXTS, vehicle=VEHICLES, recorded=st.booleans(), joins_defects=st.just(True))
LEXICON = make_lexicon(trade_concepts())
OTHER = make_lexicon(trade_concepts(), added=[("stall", "zorb")], removed=[("no_crank", "no crank")])


def out_of_a_file(index: SearchIndex, folder: Path, lexicon: Lexicon) -> SearchIndex:
    files, told = ArrayFolder(folder, "search"), index.packed()
    files.keep("mark", {"packed": told.facts}, told.arrays)
    found = files.newest("mark")
    assert found is not None
    again = Packed(found.facts["packed"], found.arrays())
    return SearchIndex.of_packed(again, lexicon, families_on_file())


@settings(max_examples=25)
@given(ENTRIES, ENTRIES, st.lists(QUERIES, min_size=1, max_size=4), st.sampled_from([LEXICON, OTHER]))
def test_mapped_or_in_memory_the_answers_are_the_same_also_after_more_was_saved(
    entries: list[IndexEntry], more: list[IndexEntry], queries: list[Query], lexicon: Lexicon
) -> None:
    """Whole answers are compared: order, scores, grades, reasons, corrections, defects joined."""
    built = SearchIndex.build(entries, LEXICON)
    with TemporaryDirectory() as folder:
        mapped = out_of_a_file(built, Path(folder), lexicon)
        if lexicon is not LEXICON:
            built.use_lexicon(lexicon)
        assert len(mapped) == len(built)
        for change in (lambda _one: None, lambda one: one.put_all(more, gone=[(3, "bulletin")])):
            change(built)
            change(mapped)
            assert [mapped.search(one) for one in queries] == [built.search(one) for one in queries]
        assert mapped.covering(Vehicle("Tarn", "Vell")) == built.covering(Vehicle("Tarn", "Vell"))
